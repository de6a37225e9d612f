import { readFileSync } from 'node:fs';

/** Rows of a published table copied into `published/`; the file's first lines name its source. */
export function publishedRows(name: string): Record<string, string>[] {
  const text = readFileSync(new URL(`./published/${name}`, import.meta.url), 'utf8');
  const [head, ...rows] = text
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'))
    .map((line) => line.split(','));
  return rows.map((row) => Object.fromEntries(head!.map((column, i) => [column, row[i] ?? ''])));
}

/** Seconds of a cell such as "63.3 min" or "55.9 s". */
export function printedSeconds(cell: string): number {
  const [value, unit] = cell.split(' ');
  return Number((Number(value) * (unit === 'min' ? 60 : 1)).toFixed(6));
}

/** The unit in the last printed digit of a cell, in seconds. */
export function printedUnitSeconds(cell: string): number {
  const [value, unit] = cell.split(' ');
  const digits = value!.split('.')[1]?.length ?? 0;
  return (unit === 'min' ? 60 : 1) / 10 ** digits;
}

import type { Picture } from './picture.ts';

/** One line of the chart's table twin; nulls where nothing was measured. Degrees C. */
export interface TableLine {
  readonly fromMs: number;
  readonly bathMinC: number | null;
  readonly bathMaxC: number | null;
  readonly setpointC: number | null;
  readonly coreC: number | null;
  readonly coldC: number | null;
  readonly hotC: number | null;
  readonly duty: number | null;
}

/**
 * The picture as a table of at most `lines` equal spans of time, the newest first: least and greatest bath
 * temperature, mean duty, and the last setpoint and core of each. A stretch without data is one empty line.
 */
export function tableOf(picture: Picture, fromMs: number, toMs: number, lines: number): TableLine[] {
  const table: TableLine[] = [];
  const spanMs = (toMs - fromMs) / lines;
  let i = 0;
  for (let line = 0; line < lines; line++) {
    const start = fromMs + line * spanMs;
    const end = line === lines - 1 ? toMs + 1 : start + spanMs;
    const begin = i;
    while (i < picture.timeS.length && picture.timeS[i]! * 1000 < end) i++;
    const made = lineOf(picture, begin, i, start);
    const before = table.at(-1);
    // One line says of a whole stretch that nothing was measured.
    if (!(isEmpty(made) && before !== undefined && isEmpty(before))) table.push(made);
  }
  return table.reverse();
}

function isEmpty(line: TableLine): boolean {
  return line.bathMaxC === null && line.coreC === null && line.duty === null;
}

function lineOf(picture: Picture, from: number, to: number, fromMs: number): TableLine {
  const part = (column: readonly (number | null)[]) =>
    column.slice(from, to).filter((value): value is number => value !== null);
  const last = (column: readonly (number | null)[]) => part(column).at(-1) ?? null;
  const low = part(picture.bathMinC);
  const high = part(picture.bathMaxC);
  const duty = part(picture.duty);
  return {
    fromMs,
    bathMinC: low.length > 0 ? Math.min(...low) : null,
    bathMaxC: high.length > 0 ? Math.max(...high) : null,
    setpointC: last(picture.setpointC),
    coreC: last(picture.coreC),
    coldC: last(picture.coldC),
    hotC: last(picture.hotC),
    duty: duty.length > 0 ? duty.reduce((sum, value) => sum + value, 0) / duty.length : null,
  };
}

import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Assessment } from '../../controller/cli/assess/result.ts';
import { assessVerb } from '../../controller/cli/assess.ts';

const folder = mkdtempSync(join(tmpdir(), 'assess-'));
let files = 0;

/** Flags of a plain piece, for tests that are about the log. */
export const PIECE = ['--shape', 'slab', '--thickness', '40mm', '--start', '5C'] as const;

/** Writes a log to a file of its own and gives its path. */
export function logFile(content: string | Uint8Array): string {
  const path = join(folder, `${files++}.csv`);
  writeFileSync(path, content);
  return path;
}

export interface Said {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** Runs the verb as the command line would, with what it printed. */
export async function assessArgs(...argv: string[]): Promise<Said> {
  const said = { out: '', err: '' };
  const code = await assessVerb(argv, {
    out: (text) => {
      said.out += text;
    },
    err: (text) => {
      said.err += text;
    },
  });
  return { code, ...said };
}

/** Assesses a log of a plain piece; other flags may be added or set anew. */
export function assessLog(content: string | Uint8Array, ...flags: string[]): Promise<Said> {
  return assessArgs(logFile(content), ...PIECE, '--json', ...flags);
}

/** The same, for a log that must be accepted: the document it printed. */
export async function assessed(content: string | Uint8Array, ...flags: string[]): Promise<Assessment> {
  const said = await assessLog(content, ...flags);
  if (said.code !== 0) throw new Error(`exit ${said.code}: ${said.err}`);
  return JSON.parse(said.out) as Assessment;
}

/** A log by the design's default columns. */
export function csvOf(rows: readonly (readonly [seconds: number, celsius: number])[]): string {
  return `time,bath_c\n${rows.map(([s, c]) => `${s},${c}`).join('\n')}\n`;
}

/** Rows of a bath at even times, from 0 to the end. */
export function rowsOf(
  endS: number,
  everyS: number,
  waterC: (s: number) => number,
): (readonly [number, number])[] {
  const rows: [number, number][] = [];
  for (let s = 0; s <= endS; s += everyS) rows.push([s, waterC(s)]);
  return rows;
}

import { copyFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { unpackText } from '../../controller/journal/codec.ts';
import { cookJson } from '../../controller/journal/export.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { Queries } from '../../controller/journal/queries.ts';
import { openReader } from '../../controller/journal/reader.ts';
import type { Checked } from '../../controller/journal/tier-check.ts';
import { type VerifyReport, verifyLog } from '../../controller/journal/verify.ts';
import { COOK_ID, cookOf, options, tick } from './journal-fixture.ts';
import { ownFolder, templateFolder } from './journal-folder.ts';

export const TICKS = 700;

/** A log of two runs: idle ticks, a cook with everything in it and a snapshot, idle ticks, a second cook. */
export async function recorded(): Promise<string> {
  made ??= record();
  const { path } = options(ownFolder());
  for (const part of ['', '-mark']) copyFileSync((await made) + part, path + part);
  return path;
}

/** Made once and copied for each test. */
let made: Promise<string> | null = null;

async function record(): Promise<string> {
  const folder = templateFolder();
  const first = await openJournal(options(folder));
  for (let n = 1; n <= 5; n += 1) first.write(tick(n, { cookId: null }));
  for (const record of cookOf(TICKS, 6).slice(0, 100)) first.write(record);
  first.snapshot(105, '{"state":"early"}');
  await first.flush();
  for (const record of cookOf(TICKS, 6).slice(100, 400)) first.write(record);
  first.snapshot(400, '{"state":"whole","temperature":68.25}');
  await first.close();
  const second = await openJournal(options(folder, { bootId: 'boot-2' }));
  for (const record of cookOf(TICKS, 6).slice(400)) second.write(record);
  for (const record of cookOf(60, TICKS + 6, 'second')) second.write(record);
  await second.close();
  return options(folder).path;
}

/** On this thread, for a worker a time would be slow; the verb's own tests use the worker. */
export async function verify(path: string, cookId: string | null = COOK_ID): Promise<VerifyReport> {
  const db = new Database(path, { readonly: true });
  const queries = new Queries(db);
  const reader: Checked = {
    links: async (after, through, limit) => queries.links({ after, through, limit }),
    chainRange: async (id) => queries.chainRange(id),
    keptTiers: async (id, widthS) => queries.keptTiers({ cookId: id, widthS }),
    samples: async (id, after, limit) =>
      queries.samples({ cookId: id, after, limit, through: Number.MAX_SAFE_INTEGER }),
    cooks: async () => queries.cooks(),
  };
  return verifyLog(reader, cookId).finally(() => db.close());
}

export async function exported(path: string): Promise<string> {
  const reader = await openReader(path);
  let text = '';
  for await (const piece of cookJson(reader, COOK_ID)) text += piece;
  await reader.close();
  return text;
}

/** Where a row kind is kept: its table, the column with what it says, and what picks a row of the first cook. */
export const KINDS = [
  { kind: 'sample', table: 'tick', column: 'sample', where: 'cook = 1' },
  { kind: 'input', table: 'tick', column: 'input', where: 'cook = 1' },
  { kind: 'link', table: 'tick', column: 'link', where: 'cook = 1' },
  { kind: 'cook row', table: 'cook_version', column: 'row', where: 'cook = 1' },
  { kind: 'bag row', table: 'bag_version', column: 'row', where: 'cook = 1' },
  { kind: 'event row', table: 'event', column: 'row', where: 'cook = 1' },
  { kind: 'alarm row', table: 'alarm', column: 'row', where: 'cook = 1' },
  { kind: 'command row', table: 'command', column: 'row', where: 'cook = 1' },
  { kind: 'state kept', table: 'snapshot', column: 'state', where: 'cook = 1' },
  { kind: 'run', table: 'run', column: 'config_json', where: 'run = 2' },
  { kind: 'summary', table: 'tier', column: 'row', where: 'cook = 1' },
] as const;

/** Changes one byte of one row, and gives the tick that the row belongs to. */
export function tamper(
  path: string,
  { table, column, where }: (typeof KINDS)[number],
  next: () => number,
): number {
  const db = new Database(path);
  // A state is sealed by the tick after it, a run by its first tick.
  const at = { snapshot: 'after_sequence + 1', run: 'after_sequence + 1', tier: 'first_sequence' };
  const place = at[table as keyof typeof at] ?? 'sequence';
  const rows = db
    .prepare(`SELECT ${place} AS at, ${column} AS content, * FROM ${table} WHERE ${where}`)
    .all() as {
    at: number;
    content: string | Uint8Array;
    [key: string]: unknown;
  }[];
  const row = rows[Math.floor(next() * rows.length)]!;
  const bytes = Buffer.from(row.content);
  const position = Math.floor(next() * bytes.length);
  const text = typeof row.content === 'string';
  // In text another letter or digit, so that it stays text; in packed bytes one bit.
  bytes[position] = text
    ? bytes[position] === 0x37
      ? 0x38
      : 0x37
    : bytes[position]! ^ (1 << Math.floor(next() * 8));
  const keys = db.pragma(`table_info(${table})`) as { name: string; pk: number }[];
  const key = keys.filter(({ pk }) => pk > 0).map(({ name }) => name);
  db.prepare(`UPDATE ${table} SET ${column} = ? WHERE ${key.map((name) => `${name} = ?`).join(' AND ')}`).run(
    text ? bytes.toString('latin1') : bytes,
    ...key.map((name) => row[name]),
  );
  db.close();
  return row.at;
}

export function summaries(path: string): string {
  const db = new Database(path, { readonly: true });
  const rows = db.prepare('SELECT row FROM tier').pluck().all() as Uint8Array[];
  db.close();
  return rows.map(readable).join('\n');
}

export function readable(packed: Uint8Array): string {
  try {
    return unpackText(packed);
  } catch {
    return 'not readable';
  }
}

export function sameJson(text: string, whole: string): boolean {
  try {
    return JSON.stringify(JSON.parse(text)) === whole;
  } catch {
    return false;
  }
}

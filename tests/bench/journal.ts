import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { cookJson } from '../../controller/journal/export.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { BAGS, bagRow, COOK_ID, cookRow, options, tick } from '../serve/journal-fixture.ts';

const HOUR_S = 3600;
/** A state with three bags in it, as large as the tick's own. */
const STATE_JSON = JSON.stringify({ nodes: Array.from({ length: 9 * 40 }, (_, n) => 4 + Math.sin(n) * 20) });

/**
 * The journal at work: how many ticks it takes a second when pressed; what one hour of a cook with three
 * bags writes to the disk at the pace of a real rig (a commit every 1.5 s), counted by the kernel as the
 * bytes of all write calls of this process; and what an export costs. Baseline for the writing: the bare
 * rows as JSON lines.
 */
export async function benchJournal(): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-bench-'));
  try {
    return [await pressed(join(folder, 'pressed')), ...(await anHour(join(folder, 'hour')))];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function cookTick(sequence: number) {
  if (sequence > 1) return tick(sequence, { bagIds: BAGS });
  return tick(sequence, { bagIds: BAGS, cook: cookRow(), bags: BAGS.map((bagId) => bagRow(bagId)) });
}

async function pressed(folder: string): Promise<string> {
  const count = 20_000;
  const records = Array.from({ length: count }, (_, n) => cookTick(n + 1));
  const journal = await openJournal({ ...options(folder) });
  const begin = performance.now();
  // Handed over as a fast simulation would, with the disk in step, so that the queue stays within its bound.
  for (let from = 0; from < count; from += 2000) {
    for (const record of records.slice(from, from + 2000)) journal.write(record);
    await journal.flush();
  }
  const seconds = (performance.now() - begin) / 1000;
  await journal.close();
  return `journal: ${Math.round(count / seconds)} ticks/s committed (3 bags, fsync each 200 ticks)`;
}

async function anHour(folder: string): Promise<string[]> {
  const journal = await openJournal(options(folder, { commitEveryMs: 60_000 }));
  const before = writtenBytes();
  let commits = 0;
  let jsonBytes = 0;
  const begin = performance.now();
  for (let n = 1; n <= HOUR_S; n += 1) {
    const record = cookTick(n);
    jsonBytes += JSON.stringify([record.input, record.sample]).length + 1;
    journal.write(record);
    if (n % 600 === 0) journal.snapshot(n, STATE_JSON);
    // Two ticks, then one, then two: the rhythm of a commit every 1.5 s.
    if (n % 3 !== 1) {
      await journal.flush();
      commits += 1;
    }
  }
  const msACommit = (performance.now() - begin) / commits;
  await journal.close();
  const after = writtenBytes();
  const { path } = options(folder);
  const size = statSync(path).size;
  const reader = await openReader(path);
  const exportBegin = performance.now();
  let characters = 0;
  for await (const piece of cookJson(reader, COOK_ID)) characters += piece.length;
  const exportMs = performance.now() - exportBegin;
  await reader.close();
  const mb = (bytes: number) => `${(bytes / 1e6).toFixed(1)} MB`;
  const written = before === null || after === null ? 'not counted on this system' : mb(after - before);
  return [
    `journal: bytes written per hour of cook: ${written} in ${commits} commits, file grows ${mb(size)}; baseline bare JSON lines ${mb(jsonBytes)}`,
    `journal: ${msACommit.toFixed(2)} ms a commit here; JSON export of that hour (${mb(characters)}) in ${exportMs.toFixed(0)} ms`,
  ];
}

/** Bytes of all write calls of this process so far, or null where the system does not tell. */
function writtenBytes(): number | null {
  try {
    return Number(/^wchar: (\d+)$/m.exec(readFileSync('/proc/self/io', 'utf8'))?.[1] ?? Number.NaN);
  } catch {
    return null;
  }
}

import { createHash } from 'node:crypto';
import {
  copyFileSync,
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import Database from 'better-sqlite3';
import { type OpenReport as JournalReport, openJournal } from '../../controller/journal/journal.ts';
import { type JournalReader, openReader } from '../../controller/journal/reader.ts';
import { verifyLog } from '../../controller/journal/verify.ts';
import { keepTally, newTally, results, type Tally, tallyFrom } from './campaign-journal-tally.ts';
import { endlessTick, options } from './journal-fixture.ts';
import { WriterProcess } from './journal-process.ts';
import { random } from './journal-random.ts';

/**
 * The campaign against the log: kill -9 of a real process under load, and torn, truncated and bit-flipped files.
 *   npm run campaign:journal -- [--kills 500] [--torn 200] [--seed 1] [--results FILE] [--add TALLY.json]
 * With --add the counts go on from those of earlier pieces in that file, and are kept there.
 * Exit code 1 where a row that was acknowledged is lost without a clear error.
 */
const ROTATE_AT = 4000;

/** Kills the writer so many times at drawn moments; after each kill, every acknowledged row must be there and right. */
export async function killMany(kills: number, seed: number, tally: Tally): Promise<void> {
  const next = random(seed);
  let folder = mkdtempSync(join(tmpdir(), 'bathkeeper-kill-'));
  let last = 0;
  try {
    for (let kill = 0; kill < kills; kill += 1) {
      const writer = new WriterProcess(folder, `boot-${kill}`);
      await writer.reaches(last);
      await new Promise((resolve) => setTimeout(resolve, next() * 200));
      await writer.kill();
      tally.kills += 1;
      tally.acknowledged += Math.max(0, writer.acknowledged - last);
      for (const line of writer.failures) tally.faults.push(`kill ${kill}: ${line}`);
      const found = await check(options(folder).path, last);
      tally.lost += Math.max(0, writer.acknowledged - found.last);
      tally.wrong += found.wrong;
      if (found.wrong > 0 || found.last < writer.acknowledged)
        tally.faults.push(`kill ${kill}, seed ${seed}`);
      last = found.last;
      if (last < ROTATE_AT) continue;
      rmSync(folder, { recursive: true });
      folder = mkdtempSync(join(tmpdir(), 'bathkeeper-kill-'));
      last = 0;
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The rows after a sequence against what was written, and the chain over all of them. */
async function check(path: string, after: number): Promise<{ last: number; wrong: number }> {
  const reader = await openReader(path);
  try {
    const last = await reader.lastSequence();
    const report = await verifyLog(reader, null);
    return { last, wrong: (await wrongRows(reader, after, last)) + report.breaks };
  } finally {
    await reader.close();
  }
}

async function wrongRows(reader: JournalReader, after: number, last: number): Promise<number> {
  let wrong = 0;
  let expected = after + 1;
  for (let from = after; from < last; ) {
    const page = await reader.recorded(from, last, 1000);
    if (page.length === 0) break;
    for (const { input, sample, events, commands } of page) {
      const record = endlessTick(expected);
      const texts = (rows: readonly unknown[]) => rows.map((row) => JSON.stringify(row));
      const same =
        JSON.stringify(input) === JSON.stringify(record.input) &&
        sample === JSON.stringify(record.sample) &&
        JSON.stringify([events, commands]) === JSON.stringify([texts(record.events), texts(record.commands)]);
      if (!same) wrong += 1;
      expected += 1;
    }
    from = page.at(-1)?.input.sequence ?? last;
  }
  return wrong + Math.max(0, last + 1 - expected);
}

/** The files as a power cut leaves them: some commits in the database, some only in the write-ahead log. */
async function cutOff(folder: string, ticks: number): Promise<void> {
  const live = mkdtempSync(join(tmpdir(), 'bathkeeper-live-'));
  const journal = await openJournal(options(live, { commitEveryMs: 3_600_000 }));
  for (let n = 1; n <= ticks; n += 1) {
    journal.write(endlessTick(n));
    if (n % 50 !== 0) continue;
    await journal.flush();
    if (n === ticks / 2) {
      const db = new Database(options(live).path);
      db.pragma('wal_checkpoint(TRUNCATE)');
      db.close();
    }
  }
  for (const part of ['', '-wal', '-mark'])
    copyFileSync(options(live).path + part, options(folder).path + part);
  await journal.close();
  rmSync(live, { recursive: true });
}

/** The write-ahead log twice as often: it is what a power cut leaves half written. */
const PARTS = ['', '', '-wal', '-wal', '-wal', '-mark'] as const;
const PART_WORDS = { '': 'database', '-wal': 'write-ahead log', '-mark': 'mark' } as const;
const KINDS = ['truncate', 'zero a sector', 'flip a bit', 'garble 4 KB', 'cut to nothing'] as const;

/**
 * Damages the files in a drawn way and opens them. Either all rows are there and right, or an error, a loss told with
 * its numbers and the damaged files kept, or the chain names the row.
 */
export async function tearMany(torn: number, seed: number, tally: Tally): Promise<void> {
  const TICKS = 600;
  const pristine = mkdtempSync(join(tmpdir(), 'bathkeeper-sound-'));
  await cutOff(pristine, TICKS);
  try {
    for (let n = 0; n < torn; n += 1) {
      const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-torn-'));
      cpSync(pristine, folder, { recursive: true });
      const next = random(seed * 7919 + n);
      const part = PARTS[Math.floor(next() * PARTS.length)] ?? '-wal';
      const kind = KINDS[Math.floor(next() * KINDS.length)] ?? 'truncate';
      damage(options(folder).path + part, kind, next);
      const outcome = await opened(folder, TICKS, tally);
      const name = `${kind} of the ${PART_WORDS[part]}: ${outcome}`;
      tally.outcomes.set(name, (tally.outcomes.get(name) ?? 0) + 1);
      if (/LOST|WRONG/.test(outcome)) tally.faults.push(`torn ${n}, seed ${seed}: ${name}`);
      tally.torn += 1;
      rmSync(folder, { recursive: true });
    }
  } finally {
    rmSync(pristine, { recursive: true });
  }
}

function damage(path: string, kind: (typeof KINDS)[number], next: () => number): void {
  const { size } = statSync(path);
  const at = Math.floor(next() * size);
  if (kind === 'truncate' || kind === 'cut to nothing') {
    truncateSync(path, kind === 'truncate' ? at : 0);
    return;
  }
  const bytes = readFileSync(path);
  if (kind === 'zero a sector') bytes.fill(0, at - (at % 512), at - (at % 512) + 512);
  if (kind === 'flip a bit') bytes[at] = (bytes[at] ?? 0) ^ (1 << Math.floor(next() * 8));
  if (kind === 'garble 4 KB')
    for (let n = at; n < Math.min(size, at + 4096); n += 1) bytes[n] = Math.floor(next() * 256);
  writeFileSync(path, bytes);
}

async function opened(folder: string, ticks: number, tally: Tally): Promise<string> {
  const before = new Map(readdirSync(folder).map((name) => [name, digestOf(join(folder, name))]));
  const path = options(folder).path;
  let journal: Awaited<ReturnType<typeof openJournal>>;
  try {
    journal = await openJournal(options(folder, { bootId: 'after' }));
  } catch (error) {
    return `refused with an error (${(error as { code?: string }).code})`;
  }
  const { setAside, lastSequence } = journal.report;
  await journal.close();
  if (setAside) return toldLoss(folder, setAside, before, ticks, tally);
  const reader = await openReader(path);
  try {
    const report = await verifyLog(reader, null);
    if (report.breaks > 0) return 'opened, and the chain names the row';
    const wrong = await wrongRows(reader, 0, lastSequence);
    tally.wrong += wrong;
    if (wrong > 0) return 'WRONG rows and no error';
    if (lastSequence === ticks) return 'every row is there';
    tally.lost += ticks - lastSequence;
    return 'LOST rows and no error';
  } catch (error) {
    return `opened, and reading gives an error (${(error as { code?: string }).code})`;
  } finally {
    await reader.close();
  }
}

/** A loss was told: the damaged files must be kept to the byte, the numbers told be right, and what is left be right. */
async function toldLoss(
  folder: string,
  told: NonNullable<JournalReport['setAside']>,
  before: ReadonlyMap<string, string>,
  ticks: number,
  tally: Tally,
): Promise<string> {
  for (const part of ['', '-wal']) {
    const was = before.get(`journal.sqlite${part}`);
    if (was !== undefined && digestOf(told.path + part) !== was)
      return 'LOST: a damaged file was not kept as it was';
  }
  if (told.throughSequence !== ticks)
    return `LOST: the last row told is ${told.throughSequence}, not ${ticks}`;
  const reader = await openReader(options(folder).path);
  try {
    const good = told.fromSequence - 1;
    const wrong = good === 0 ? 0 : await wrongRows(reader, 0, good);
    tally.wrong += wrong;
    if (wrong > 0) return 'WRONG rows in the good part';
    if ((await verifyLog(reader, null)).breaks > 0)
      return 'the chain names the row, and the loss after it is told';
    tally.told += ticks - good;
    return good === 0 ? 'set aside and told' : 'its good part gone on with, the rest told and set aside';
  } finally {
    await reader.close();
  }
}

const digestOf = (path: string) =>
  existsSync(path) ? createHash('sha256').update(readFileSync(path)).digest('hex') : 'gone';

async function main(): Promise<number> {
  const text = { type: 'string' } as const;
  const { values } = parseArgs({
    options: { kills: text, torn: text, seed: text, results: text, add: text },
  });
  const [kills, torn, seed] = [
    Number(values.kills ?? 500),
    Number(values.torn ?? 200),
    Number(values.seed ?? 1),
  ];
  const tally = values.add && existsSync(values.add) ? tallyFrom(values.add) : newTally();
  const begin = performance.now();
  await tearMany(torn, seed, tally);
  await killMany(kills, seed, tally);
  tally.seconds += (performance.now() - begin) / 1000;
  tally.seeds.push(seed);
  const said = results(tally);
  process.stdout.write(said);
  for (const fault of tally.faults) process.stderr.write(`${fault}\n`);
  if (values.add !== undefined) keepTally(values.add, tally);
  if (values.results !== undefined) writeFileSync(values.results, said);
  return tally.lost + tally.wrong + tally.faults.length === 0 ? 0 : 1;
}

if (process.argv[1]?.endsWith('campaign-journal.ts')) process.exitCode = await main();

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
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import Database from 'better-sqlite3';
import { openJournal } from '../../controller/journal/journal.ts';
import { type JournalReader, openReader } from '../../controller/journal/reader.ts';
import { verifyLog } from '../../controller/journal/verify.ts';
import { endlessTick, options } from './journal-fixture.ts';
import { WriterProcess } from './journal-process.ts';
import { random } from './journal-random.ts';

/**
 * The campaign against the log: kill -9 of a real process under load, and torn, truncated and bit-flipped files.
 *   node --import tsx tests/serve/campaign-journal.ts --kills 500 --torn 200 [--seed 1] [--results FILE]
 * Exit code 1 where a row that was acknowledged is lost without a clear error.
 */
export interface Tally {
  kills: number;
  acknowledged: number;
  torn: number;
  /** Rows that had been acknowledged, are gone after a kill or with a damaged database, and nothing said so. Must be 0. */
  lost: number;
  /** Acknowledged rows that went with a damaged write-ahead log, of which nothing is said. A known gap: not 0. */
  lostWithWal: number;
  /** Rows on disk that differ from what was written, without an error. Must be 0. */
  wrong: number;
  /** What each kind of damage led to. */
  outcomes: Map<string, number>;
  faults: string[];
}

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
  for (const part of ['', '-wal']) copyFileSync(options(live).path + part, options(folder).path + part);
  await journal.close();
  rmSync(live, { recursive: true });
}

const KINDS = ['truncate', 'zero a sector', 'flip a bit', 'garble 4 KB', 'cut to nothing'] as const;

/**
 * Damages the files in a drawn way and opens them. Either all rows are there and right (or fewer at the end, where the
 * write-ahead log itself was torn: a disk that loses what it promised), or an error, a log set aside, or the chain says so.
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
      const part = next() < 0.5 ? '' : '-wal';
      const kind = KINDS[Math.floor(next() * KINDS.length)] ?? 'truncate';
      damage(options(folder).path + part, kind, next);
      const outcome = await opened(folder, TICKS, part === '-wal', tally);
      const name = `${kind} of the ${part === '' ? 'database' : 'write-ahead log'}: ${outcome}`;
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

async function opened(folder: string, ticks: number, walDamaged: boolean, tally: Tally): Promise<string> {
  const before = readdirSync(folder).length;
  const path = options(folder).path;
  let journal: Awaited<ReturnType<typeof openJournal>>;
  try {
    journal = await openJournal(options(folder, { bootId: 'after' }));
  } catch (error) {
    return `refused with an error (${(error as { code?: string }).code})`;
  }
  const { setAside, lastSequence } = journal.report;
  await journal.close();
  if (setAside)
    return existsSync(setAside.path) && before > 0 ? 'set aside and told' : 'LOST: the damaged file is gone';
  const reader = await openReader(path);
  try {
    const report = await verifyLog(reader, null);
    if (report.breaks > 0) return 'opened, and the chain names the row';
    const wrong = await wrongRows(reader, 0, lastSequence);
    tally.wrong += wrong;
    if (wrong > 0) return 'WRONG rows and no error';
    if (lastSequence === ticks) return 'every row is there';
    if (walDamaged) {
      tally.lostWithWal += ticks - lastSequence;
      return 'opened WITHOUT a word, rows after the damage are gone';
    }
    tally.lost += ticks - lastSequence;
    return 'LOST rows and no error';
  } catch (error) {
    return `opened, and reading gives an error (${(error as { code?: string }).code})`;
  } finally {
    await reader.close();
  }
}

/** An empty count. */
export function newTally(): Tally {
  return {
    kills: 0,
    acknowledged: 0,
    torn: 0,
    lost: 0,
    lostWithWal: 0,
    wrong: 0,
    outcomes: new Map(),
    faults: [],
  };
}

function results(tally: Tally, seed: number, seconds: number): string {
  const outcomes = [...tally.outcomes].sort().map(([name, count]) => `| ${name} | ${count} |`);
  return `# What the campaign against the log found

${new Date().toISOString().slice(0, 10)}, ${cpus().length} cores (${cpus()[0]?.model ?? 'unknown'}), Node ${process.version}, seed ${seed}, ${seconds.toFixed(0)} s.
Made by \`node --import tsx tests/serve/campaign-journal.ts --kills ${tally.kills} --torn ${tally.torn} --seed ${seed}\`.

- ${tally.kills} kill -9 of the real journal process under load: ${tally.acknowledged} rows acknowledged.
- ${tally.torn} torn, truncated, garbled or bit-flipped database and write-ahead-log files.
- After a kill, or with a damaged database: acknowledged rows lost without an error ${tally.lost}, rows that differ from what was written ${tally.wrong}.
- With a damaged write-ahead log: acknowledged rows lost without an error ${tally.lostWithWal}. NOT 0: a known gap. SQLite reads such a log up
  to the first frame whose checksum fails and takes the rest for a commit that never finished; the controller cannot tell.
  A process that is killed never causes it, a disk that changes or drops what it had confirmed does.

| damage and what came of it | times |
| --- | --- |
${outcomes.join('\n')}
`;
}

async function main(): Promise<number> {
  const text = { type: 'string' } as const;
  const { values } = parseArgs({ options: { kills: text, torn: text, seed: text, results: text } });
  const [kills, torn, seed] = [
    Number(values.kills ?? 25),
    Number(values.torn ?? 20),
    Number(values.seed ?? 1),
  ];
  const tally = newTally();
  const begin = performance.now();
  await tearMany(torn, seed, tally);
  await killMany(kills, seed, tally);
  const said = results(tally, seed, (performance.now() - begin) / 1000);
  process.stdout.write(said);
  for (const fault of tally.faults) process.stderr.write(`${fault}\n`);
  if (values.results !== undefined) writeFileSync(values.results, said);
  return tally.lost + tally.wrong + tally.faults.length === 0 ? 0 : 1;
}

if (process.argv[1]?.endsWith('campaign-journal.ts')) process.exitCode = await main();

import {
  copyFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { COOK_ID, endlessTick, options, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const NOON_MS = Date.UTC(2026, 9, 3, 12, 0, 0);
const DATED = /\/journal\.damaged-2026-10-03T12-00-00Z\.sqlite$/;

/** A log of that many ticks, closed in order. Gives its path. */
async function written(ticks: number): Promise<string> {
  const { path } = options(ownFolder());
  const journal = await openJournal(options(dirname(path)));
  for (let n = 1; n <= ticks; n += 1) journal.write(endlessTick(n));
  await journal.close();
  return path;
}

/** The database and write-ahead log as a power cut would leave them, with commits that are only in the latter. */
async function cutOff(ticks: number, make = endlessTick): Promise<string> {
  const folder = ownFolder();
  const after = options(ownFolder()).path;
  const journal = await openJournal(options(folder, { commitEveryMs: 3_600_000 }));
  for (let n = 1; n <= ticks; n += 1) {
    journal.write(make(n));
    if (n % 50 === 0) await journal.flush();
  }
  await journal.flush();
  for (const part of ['', '-wal', '-mark']) copyFileSync(options(folder).path + part, after + part);
  await journal.close();
  return after;
}

/** A tick that waits for company, so that commits are exactly those asked for. */
const plainTick = (sequence: number) => tick(sequence);

/** Opens a log that must turn out damaged, and checks that the bytes are kept and a new log works. */
async function expectSetAside(path: string, atLeast: number): Promise<void> {
  const before = existsSync(path) ? readFileSync(path) : null;
  const journal = await openJournal(options(dirname(path), { wallMs: NOON_MS }));
  const { setAside, lastSequence, created } = journal.report;
  expect(setAside?.path).toMatch(DATED);
  expect(created).toBe(true);
  if (before) expect(readFileSync(setAside?.path ?? '').equals(before)).toBe(true);
  expect(lastSequence).toBeGreaterThan(atLeast);
  journal.write(endlessTick(lastSequence + 1));
  await journal.close();
  const reader = await openReader(path);
  expect(await reader.lastSequence()).toBe(lastSequence + 1);
  const [told] = await reader.events(null, 0);
  expect(told).toMatchObject({ kind: 'journal-set-aside', wallMs: NOON_MS, data: { path: setAside?.path } });
  await reader.close();
}

describe('a damaged log is set aside under a dated name, never overwritten, and a new one is begun above its numbers', () => {
  it('when its first page is not that of a database', async () => {
    const path = await written(300);
    const bytes = readFileSync(path);
    bytes.write('what is this?   ', 0);
    writeFileSync(path, bytes);
    await expectSetAside(path, 300);
  });

  it('when pages in its middle were lost, and then its last number is still known', async () => {
    const path = await written(2000);
    const bytes = readFileSync(path);
    bytes.fill(0, 4096 * 20, 4096 * 24);
    writeFileSync(path, bytes);
    await expectSetAside(path, 2000);
  });

  it('when it was cut short', async () => {
    const path = await written(2000);
    truncateSync(path, Math.floor(statSync(path).size / 2));
    await expectSetAside(path, 2000);
  });

  it('when the database was emptied or lost while commits were still in its write-ahead log', async () => {
    const emptied = await cutOff(300);
    truncateSync(emptied, 0);
    const wal = readFileSync(`${emptied}-wal`);
    await expectSetAside(emptied, 300);
    const kept = readdirSync(dirname(emptied)).find((name) => name.endsWith('.sqlite-wal'));
    expect(readFileSync(join(dirname(emptied), kept ?? '')).equals(wal)).toBe(true);
  });

  it('and a second one on the same day does not take the name of the first', async () => {
    const path = await written(10);
    for (const name of [
      'journal.damaged-2026-10-03T12-00-00Z.sqlite',
      'journal.damaged-2026-10-03T12-00-00Z-2.sqlite',
    ]) {
      writeFileSync(path, 'not a database, certainly not one of ours, whoever wrote it');
      const journal = await openJournal(options(dirname(path), { wallMs: NOON_MS }));
      expect(journal.report.setAside?.path).toBe(join(dirname(path), name));
      await journal.close();
    }
  });
});

describe('a log that a power cut left', () => {
  it('keeps every commit that is only in the write-ahead log', async () => {
    const path = await cutOff(400);
    const journal = await openJournal(options(dirname(path)));
    expect(journal.report).toMatchObject({ setAside: null, lastSequence: 400 });
    await journal.close();
  });

  it('keeps what was acknowledged before a torn end of the write-ahead log, and is not damaged by it', async () => {
    const path = await cutOff(400, plainTick);
    // The last commit was on its way when the power went: nobody had been told of it.
    const earlier = await cutOff(350, plainTick);
    copyFileSync(`${earlier}-mark`, `${path}-mark`);
    truncateSync(`${path}-wal`, statSync(`${path}-wal`).size - 6000);
    const journal = await openJournal(options(dirname(path)));
    const { setAside, lastSequence } = journal.report;
    expect(setAside).toBeNull();
    expect(lastSequence).toBe(350); // commits of 50: the last one was torn
    expect(journal.report.note).toBeNull();
    await journal.close();
    const reader = await openReader(path);
    expect(await reader.samples(COOK_ID, 0, 2000)).toEqual(
      Array.from({ length: 350 }, (_, n) => plainTick(n + 1).sample),
    );
    await reader.close();
  });
});

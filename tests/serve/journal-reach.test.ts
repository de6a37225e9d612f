import {
  copyFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { verifyVerb } from '../../controller/cli/verify.ts';
import { backupLog, restoreLog } from '../../controller/journal/backup.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { markPath, readMark } from '../../controller/journal/mark.ts';
import { pruneLog } from '../../controller/journal/prune.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { verifyLog, verifyTail } from '../../controller/journal/verify.ts';
import { readWal } from '../../controller/journal/wal.ts';
import { endlessTick, options, START_MS } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const NOON_MS = Date.UTC(2026, 9, 3, 12, 0, 0);

/** A log as a power cut leaves it: acknowledged up to its last tick, much of it only in the write-ahead log. */
async function cutOff(ticks: number): Promise<string> {
  const live = ownFolder();
  const { path } = options(ownFolder());
  const journal = await openJournal(options(live, { commitEveryMs: 3_600_000 }));
  for (let n = 1; n <= ticks; n += 1) {
    journal.write(endlessTick(n));
    if (n % 50 !== 0 && n !== ticks) continue;
    await journal.flush();
    if (n === 50) checkpoint(options(live).path);
  }
  for (const part of ['', '-wal', '-mark']) copyFileSync(options(live).path + part, path + part);
  await journal.close();
  return path;
}

/** Moves the write-ahead log into the database, as SQLite does from time to time. */
function checkpoint(path: string): void {
  const db = new Database(path);
  db.pragma('wal_checkpoint(TRUNCATE)');
  db.close();
}

const DAMAGE: Readonly<Record<string, (wal: string) => void>> = {
  'a bit of it was flipped': (wal) => {
    const bytes = readFileSync(wal);
    const at = Math.floor(bytes.length / 2);
    bytes[at] = (bytes[at] ?? 0) ^ 4;
    writeFileSync(wal, bytes);
  },
  'its end was cut off': (wal) => truncateSync(wal, Math.floor(statSync(wal).size / 2)),
  'it was emptied': (wal) => truncateSync(wal, 0),
  'it is gone': (wal) => rmSync(wal),
};

describe('acknowledged rows that a damaged write-ahead log takes along', () => {
  for (const [words, damage] of Object.entries(DAMAGE)) {
    it(`are told with their numbers and times, the files kept, and the log goes on from its good part, when ${words}`, async () => {
      const path = await cutOff(600);
      damage(`${path}-wal`);
      const damaged = existsSync(`${path}-wal`) ? readFileSync(`${path}-wal`) : null;
      const journal = await openJournal(options(dirname(path), { wallMs: NOON_MS, bootId: 'after' }));
      const { setAside, lastSequence, note } = journal.report;
      expect(lastSequence).toBe(600);
      expect(setAside).toMatchObject({ throughSequence: 600, toMs: START_MS + 600_000 });
      const good = (setAside?.fromSequence ?? 0) - 1;
      expect(setAside?.fromMs ?? START_MS).toBe(START_MS + good * 1000);
      expect(note).toMatch(/acknowledged|log is damaged|was damaged/i);
      if (damaged) expect(readFileSync(`${setAside?.path}-wal`).equals(damaged)).toBe(true);
      journal.write(endlessTick(601));
      await journal.close();
      const reader = await openReader(path);
      expect((await reader.samples('hut-sunday', 0, 2000)).map((sample) => sample.sequence)).toEqual([
        ...Array.from({ length: good }, (_, n) => n + 1),
        601,
      ]);
      expect((await verifyLog(reader, null)).shown).toEqual([]);
      expect(await reader.events(null, 0)).toMatchObject([
        { kind: 'journal-set-aside', data: { throughSequence: 600 } },
      ]);
      await reader.close();
      const again = await openJournal(options(dirname(path), { bootId: 'later' }));
      expect(again.report).toMatchObject({ setAside: null, note: null, lastSequence: 601 });
      await again.close();
    });
  }

  it('are told where nothing of the log is left but its mark', async () => {
    const path = await cutOff(100);
    for (const part of ['', '-wal']) rmSync(path + part);
    const journal = await openJournal(options(dirname(path), { wallMs: NOON_MS }));
    expect(journal.report.setAside).toMatchObject({
      throughSequence: 100,
      why: expect.stringContaining('gone'),
    });
    expect(journal.report.lastSequence).toBeGreaterThan(100);
    await journal.close();
  });

  it('are told again at the next start where the power went before the first tick after', async () => {
    const path = await cutOff(200);
    truncateSync(`${path}-wal`, 0);
    const first = await openJournal(options(dirname(path), { wallMs: NOON_MS }));
    await first.close();
    const second = await openJournal(options(dirname(path)));
    expect(second.report.setAside).toEqual(first.report.setAside);
    expect(readdirSync(dirname(path)).filter((name) => /damaged.*sqlite$/.test(name)).length).toBe(1);
    await second.close();
  });

  it('are found in a log put back by hand from an earlier day', async () => {
    const path = await cutOff(200);
    const earlier = await cutOff(100);
    copyFileSync(earlier, path);
    copyFileSync(`${earlier}-wal`, `${path}-wal`);
    const journal = await openJournal(options(dirname(path)));
    expect(journal.report.setAside).toMatchObject({
      fromSequence: 101,
      throughSequence: 200,
      why: expect.stringContaining('tick 200'),
    });
    await journal.close();
  });

  it('keep a log from being pruned or backed up as if it were whole', async () => {
    const path = await cutOff(300);
    truncateSync(`${path}-wal`, 60_000);
    const pruning = pruneLog(path, { keepDays: 1, nowMs: NOON_MS, apply: true });
    await expect(pruning).rejects.toThrow(/tick 300 was acknowledged/);
    await expect(backupLog(path, `${path}.copy`)).rejects.toThrow(/Start the controller/);
    let said = '';
    const io = {
      out: (text: string) => {
        said += text;
      },
      err: () => {},
    };
    expect(await verifyVerb(['--data', dirname(path)], io)).toBe(1);
    expect(said).toMatch(/the end of the log.*tick 300 was acknowledged/);
    expect(existsSync(`${path}.copy`)).toBe(false);
  });
});

describe('what a restart goes on from', () => {
  it('is held against the chain: one byte of a row that was changed on the disk is named, though the database is sound', async () => {
    const path = await cutOff(300);
    const sound = await openReader(path);
    expect(await verifyTail(sound, 0)).toEqual([]);
    await sound.close();
    const db = new Database(path);
    const row = db.prepare('SELECT row FROM command WHERE sequence = 140').pluck().get() as string;
    db.prepare('UPDATE command SET row = ? WHERE sequence = 140').run(row.replace('the cook', 'the cock'));
    db.close();
    const reader = await openReader(path);
    const [found, ...more] = await verifyTail(reader, 0);
    expect(more).toEqual([]);
    expect(found).toMatchObject({ sequence: 140, row: expect.stringContaining('command') });
    expect(await verifyTail(reader, 200)).toEqual([]);
    await reader.close();
  });
});

describe('the mark beside a log', () => {
  it('says how far the log reached when it was last acknowledged, and holds through one torn write', async () => {
    const path = await cutOff(150);
    expect(readMark(path)).toMatchObject({ kind: 'mark', sequence: 150, wallMs: START_MS + 150_000 });
    const bytes = readFileSync(markPath(path));
    const places = [0, 4096].map((at) => bytes.subarray(at, at + 256).toString());
    const newer = places[0]?.includes(' 150 ') ? 0 : 4096;
    bytes.fill(0, newer, newer + 100);
    writeFileSync(markPath(path), bytes);
    const before = readMark(path);
    expect(before.kind === 'mark' && before.sequence >= 100 && before.sequence < 150).toBe(true);
    bytes.fill(0);
    writeFileSync(markPath(path), bytes);
    expect(readMark(path)).toEqual({ kind: 'unreadable' });
  });

  it('is missed when it is gone: with a sound log it is a note, with a torn write-ahead log it is a loss', async () => {
    const sound = await cutOff(100);
    rmSync(markPath(sound));
    const first = await openJournal(options(dirname(sound)));
    expect(first.report).toMatchObject({
      setAside: null,
      lastSequence: 100,
      note: expect.stringContaining('mark'),
    });
    await first.close();
    const torn = await cutOff(100);
    rmSync(markPath(torn));
    DAMAGE['a bit of it was flipped']?.(`${torn}-wal`);
    const second = await openJournal(options(dirname(torn)));
    expect(second.report.setAside).toMatchObject({
      throughSequence: null,
      why: expect.stringContaining('mark'),
    });
    await second.close();
  });

  it('follows a backup that is restored', async () => {
    const path = await cutOff(100);
    const copy = `${path}.copy`;
    await backupLog(path, copy);
    const journal = await openJournal(options(dirname(path)));
    for (let n = 101; n <= 200; n += 1) journal.write(endlessTick(n));
    await journal.close();
    await restoreLog(copy, path, { putAside: true, wallMs: NOON_MS });
    expect(readMark(path)).toMatchObject({ sequence: 100 });
    const restored = await openJournal(options(dirname(path)));
    expect(restored.report).toMatchObject({ setAside: null, note: null, lastSequence: 100 });
    await restored.close();
  });
});

describe('the walk of a write-ahead log', () => {
  it('reads a log that SQLite itself wrote to its last commit, by the published format', () => {
    const path = `${ownFolder()}/other.sqlite`;
    const db = new Database(path);
    db.pragma('journal_mode = WAL');
    db.exec('CREATE TABLE t (x)');
    for (let n = 0; n < 20; n += 1) db.prepare('INSERT INTO t VALUES (?)').run('x'.repeat(3000));
    const whole = readWal(path);
    const frames = (statSync(`${path}-wal`).size - 32) / (24 + 4096);
    expect(whole).toEqual({
      slots: frames,
      goodFrames: frames,
      committedFrames: frames,
      framesBeyond: 0,
      why: null,
    });
    copyFileSync(`${path}-wal`, `${path}.copy-wal`);
    db.close();
    for (const [at, good] of [
      [32 + 24 + 100, 0],
      [32 + 5 * 4120 + 3000, 5],
      [32 + 7 * 4120 + 17, 7],
    ] as const) {
      const bytes = readFileSync(`${path}.copy-wal`);
      bytes[at] = (bytes[at] ?? 0) ^ 1;
      writeFileSync(`${path}.bad-wal`, bytes);
      expect(readWal(`${path}.bad`)).toMatchObject({ goodFrames: good, framesBeyond: frames - good });
    }
  });
});

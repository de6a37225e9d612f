import { execFileSync } from 'node:child_process';
import { rmSync, statfsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Worker } from 'node:worker_threads';
import Database from 'better-sqlite3';
import { afterEach, describe, expect, it } from 'vitest';
import { openJournal } from '../../controller/journal/journal.ts';
import { migrate } from '../../controller/journal/migrate.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { startWorker } from '../../controller/journal/spawn.ts';
import { Store } from '../../controller/journal/store.ts';
import { COOK_ID, endlessTick, options } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const MODULE = new URL('../../controller/journal/journal.ts', import.meta.url).href;

/** What a journal told, in order. */
async function watched(folder: string, start?: () => Worker) {
  const journal = await openJournal(options(folder, { commitEveryMs: 5 }), start);
  const committed: number[] = [];
  const failures: string[] = [];
  journal.onCommitted(({ records }) => committed.push(...records.map(({ sample }) => sample.sequence)));
  const failed = new Promise<void>((resolve) => {
    journal.onFailure((error) => {
      failures.push(`${error.code} ${error.detail}`);
      resolve();
    });
  });
  return { journal, committed, failures, failed };
}

async function until(met: () => boolean): Promise<void> {
  while (!met()) await new Promise((resolve) => setTimeout(resolve, 10));
}

const numbers = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, n) => from + n);

async function sequencesOnDisk(path: string): Promise<number[]> {
  const reader = await openReader(path);
  const found = (await reader.samples(COOK_ID, 0, 2000)).map(({ sequence }) => sequence);
  await reader.close();
  return found;
}

describe('a disk that does not take the log', () => {
  it('never holds up the tick: writes return, the lag grows and is told, and nothing is lost or doubled', async () => {
    const folder = ownFolder();
    const { journal, committed, failures, failed } = await watched(folder);
    for (const n of numbers(1, 20)) journal.write(endlessTick(n));
    await journal.flush();
    const stray = new Database(options(folder).path);
    stray.exec('BEGIN IMMEDIATE'); // the worker now waits inside SQLite for its turn to write
    for (const n of numbers(21, 300)) journal.write(endlessTick(n));
    journal.snapshot(300, '{"at":300}');
    const oldestMs = endlessTick(21).input.monotonicMs;
    expect(journal.lagMs(oldestMs + 4000)).toBe(4000);
    expect(journal.lagMs(oldestMs + 9000)).toBe(9000);
    await failed;
    expect(failures).toEqual([expect.stringMatching(/^journal-failed \(commit: database is locked/)]);
    for (const n of numbers(301, 320)) journal.write(endlessTick(n));
    expect(committed).toEqual(numbers(1, 20));
    stray.exec('ROLLBACK');
    stray.close();
    await until(() => committed.at(-1) === 320);
    expect(committed).toEqual(numbers(1, 320));
    expect(journal.lagMs(oldestMs + 9000)).toBe(0);
    await journal.close();
    expect(await sequencesOnDisk(options(folder).path)).toEqual(numbers(1, 320));
    const reader = await openReader(options(folder).path);
    expect((await reader.resume()).snapshot?.stateJson).toBe('{"at":300}');
    await reader.close();
  });

  it('makes a flush fail rather than hang, while what is held goes on being tried', async () => {
    const folder = ownFolder();
    const { journal, committed } = await watched(folder);
    const stray = new Database(options(folder).path);
    stray.exec('BEGIN IMMEDIATE');
    journal.write(endlessTick(1));
    await expect(journal.flush()).rejects.toMatchObject({ code: 'journal-failed' });
    stray.exec('ROLLBACK');
    stray.close();
    await until(() => committed.length === 1);
    await journal.close();
  });

  it('makes a close say that the last records could not be kept, and frees the log all the same', async () => {
    const folder = ownFolder();
    const { journal } = await watched(folder);
    const stray = new Database(options(folder).path);
    stray.exec('BEGIN IMMEDIATE');
    journal.write(endlessTick(1));
    await expect(journal.close()).rejects.toMatchObject({ code: 'journal-failed' });
    stray.exec('ROLLBACK');
    stray.close();
    const next = await openJournal(options(folder));
    expect(next.report.lastSequence).toBe(0);
    await next.close();
  });
});

describe('the worker that keeps the log', () => {
  it('is started again when it stops, and goes on with what was held, as the same run', async () => {
    const folder = ownFolder();
    const workers: Worker[] = [];
    const { journal, committed, failures } = await watched(folder, () => {
      const worker = startWorker('write-worker', MODULE, null);
      workers.push(worker);
      return worker;
    });
    for (const n of numbers(1, 50)) journal.write(endlessTick(n));
    await journal.flush();
    for (const n of numbers(51, 100)) journal.write(endlessTick(n));
    await workers[0]?.terminate();
    for (const n of numbers(101, 150)) journal.write(endlessTick(n));
    await until(() => committed.at(-1) === 150);
    expect(committed).toEqual(numbers(1, 150));
    expect(workers.length).toBe(2);
    for (const failure of failures) expect(failure).toContain('the worker that keeps the log stopped');
    await journal.close();
    expect(await sequencesOnDisk(options(folder).path)).toEqual(numbers(1, 150));
    const reader = await openReader(options(folder).path);
    expect((await reader.cook(COOK_ID)).runs.length).toBe(1);
    await reader.close();
  });
});

describe('a batch whose confirmation was lost', () => {
  it('is passed over when it is sent again, by the same worker and by the next, so that nothing is doubled', () => {
    const records = numbers(1, 95).map(endlessTick);
    const written = (sendings: (store: () => Store) => void) => {
      const db = new Database(':memory:');
      migrate(db);
      sendings(() => new Store(db, 'x'));
      const tables = ['tick', 'tier', 'event', 'command', 'cook', 'cook_version', 'snapshot'];
      const rows = tables.map((table) => db.prepare(`SELECT * FROM ${table}`).all());
      db.close();
      return rows;
    };
    const parts = [
      { records: records.slice(0, 45), snapshots: [{ sequence: 45, stateJson: '{}' }] },
      { records: records.slice(45), snapshots: [] },
    ];
    const once = written((open) => {
      const store = open();
      for (const part of parts) store.commit(part);
    });
    const again = written((open) => {
      const first = open();
      for (const part of parts.slice(0, 1)) for (let n = 0; n < 2; n += 1) first.commit(part);
      const next = open();
      for (const part of parts) next.commit(part);
    });
    expect(again).toEqual(once);
    expect(once[0]?.length).toBe(95);
  });
});

describe('a full disk', () => {
  const mounted: string[] = [];
  afterEach(() => {
    for (const folder of mounted.splice(0)) execFileSync('umount', [folder]);
  });

  /** A file system of one megabyte; only root on Linux may make one. */
  function smallDisk(): string {
    const folder = ownFolder();
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', folder]);
    mounted.push(folder);
    return folder;
  }
  const mayMount = process.platform === 'linux' && process.getuid?.() === 0;

  it.skipIf(!mayMount)(
    'is told, and once there is room again every record held is kept (needs root, to mount a small disk)',
    async () => {
      const folder = smallDisk();
      const { journal, committed, failures, failed } = await watched(folder);
      journal.write(endlessTick(1));
      await journal.flush();
      const { bavail, bsize } = statfsSync(folder);
      writeFileSync(join(folder, 'filler'), Buffer.alloc(bavail * bsize - 3 * bsize));
      for (const n of numbers(2, 400)) journal.write(endlessTick(n));
      await failed;
      expect(failures[0]).toMatch(/SQLITE_(FULL|IOERR)/);
      const before = [...committed];
      expect(before).toEqual(numbers(1, before.length));
      expect(before.length).toBeLessThan(400);
      rmSync(join(folder, 'filler'));
      await until(() => committed.at(-1) === 400);
      await journal.close();
      expect(committed).toEqual(numbers(1, 400));
      expect(await sequencesOnDisk(options(folder).path)).toEqual(numbers(1, 400));
    },
  );
});

import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Worker } from 'node:worker_threads';
import { describe, expect, it } from 'vitest';
import { copyAside, setAside } from '../../controller/journal/damage.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { startWorker } from '../../controller/journal/spawn.ts';
import { endlessTick, options, START_MS } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const MODULE = new URL('../../controller/journal/journal.ts', import.meta.url).href;

/** What happens to the files while the worker that keeps them has stopped. */
const MEANWHILE: Readonly<Record<string, (path: string, earlier: readonly Buffer[]) => void>> = {
  'its database was damaged': (path) => writeFileSync(path, Buffer.alloc(20_000, 7)),
  'its end was lost': (path, earlier) => {
    for (const [n, part] of ['', '-wal'].entries()) writeFileSync(path + part, earlier[n] ?? '');
  },
  'it is gone with all its parts': (path) => {
    for (const part of ['', '-wal', '-shm', '-mark']) rmSync(path + part, { force: true });
  },
};

describe('a log that is opened again while the controller runs, its worker having stopped', () => {
  for (const [words, damage] of Object.entries(MEANWHILE)) {
    it(`acknowledges nothing more, says so and leaves every file as it is, when ${words}`, async () => {
      const { path } = options(ownFolder());
      const workers: Worker[] = [];
      const journal = await openJournal(options(dirname(path), { commitEveryMs: 5 }), () => {
        const worker = startWorker('write-worker', MODULE, null);
        workers.push(worker);
        return worker;
      });
      let acknowledged = 0;
      journal.onCommitted(({ throughSequence }) => {
        acknowledged = throughSequence;
      });
      const failures: string[] = [];
      journal.onFailure((error) => failures.push(error.message));
      for (let n = 1; n <= 20; n += 1) journal.write(endlessTick(n));
      await journal.flush();
      const earlier = ['', '-wal'].map((part) => readFileSync(path + part));
      for (let n = 21; n <= 50; n += 1) journal.write(endlessTick(n));
      await journal.flush();
      await workers[0]?.terminate();
      damage(path, earlier);
      const left = () =>
        ['', '-wal', '-mark'].map((part) =>
          existsSync(path + part) ? readFileSync(path + part, 'hex') : null,
        );
      const before = left();
      for (let n = 51; n <= 60; n += 1) journal.write(endlessTick(n));
      await expect
        .poll(() => failures.join(), { timeout: 20_000 })
        .toMatch(/damaged while the controller ran.*Start the controller again/);
      await expect(journal.close()).rejects.toMatchObject({ code: 'journal-failed' });
      expect(acknowledged).toBe(50);
      expect(left()).toEqual(before);
      expect(readdirSync(dirname(path)).filter((name) => name.includes('damaged'))).toEqual([]);
      if (before[2] === null) return;
      const next = await openJournal(options(dirname(path), { bootId: 'next' }));
      expect(next.report.setAside).toMatchObject({ throughSequence: 50 });
      await next.close();
    });
  }
});

describe('a damaged log that is set aside', () => {
  it('is still missed where the power goes, or the disk is full, before the new one is begun', async () => {
    const { path } = options(ownFolder());
    const journal = await openJournal(options(dirname(path)));
    for (let n = 1; n <= 30; n += 1) journal.write(endlessTick(n));
    await journal.close();
    const kept = setAside(path, START_MS);
    expect(existsSync(kept ?? '')).toBe(true);
    expect(readFileSync(`${kept}-mark`)).toEqual(readFileSync(`${path}-mark`));
    const next = await openJournal(options(dirname(path), { bootId: 'next' }));
    expect(next.report.setAside).toMatchObject({
      throughSequence: 30,
      why: expect.stringContaining('tick 30'),
    });
    expect(next.report.lastSequence).toBeGreaterThan(30);
    await next.close();
  });

  it('leaves no part of a copy that could not be made whole, so that starts that fail do not fill the disk', () => {
    const { path } = options(ownFolder());
    writeFileSync(path, 'a database');
    mkdirSync(`${path}-wal`);
    expect(() => copyAside(path, START_MS)).toThrow();
    expect(readdirSync(dirname(path)).sort()).toEqual(['journal.sqlite', 'journal.sqlite-wal']);
  });
});

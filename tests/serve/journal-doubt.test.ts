import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { setAside } from '../../controller/journal/damage.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { markPath } from '../../controller/journal/mark.ts';
import { endlessTick, options, START_MS } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

/** A log of so many ticks, closed in order; gives its path. */
async function logOf(ticks: number): Promise<string> {
  const { path } = options(ownFolder());
  const journal = await openJournal(options(dirname(path)));
  for (let n = 1; n <= ticks; n += 1) journal.write(endlessTick(n));
  await journal.close();
  return path;
}

/** What is reported at a start; with `tick` one is recorded, so that people have been told. */
async function startOn(path: string, tick: number | null = null) {
  const journal = await openJournal(options(dirname(path), { bootId: `start-${tick}` }));
  if (tick !== null) journal.write(endlessTick(tick));
  await journal.close();
  return journal.report;
}

const PLACES: Readonly<Record<string, readonly [doubt: string, change: (path: string) => Promise<void>]>> = {
  'is gone': ['no-mark', async (path) => rmSync(markPath(path))],
  'cannot be read': ['no-mark', async (path) => writeFileSync(markPath(path), Buffer.alloc(8192, 0x20))],
  'is of another log': [
    'other-log',
    async (path) => {
      const { path: other } = options(ownFolder());
      const journal = await openJournal(options(dirname(other), { bootId: 'other' }));
      for (let n = 1; n <= 20; n += 1) journal.write(endlessTick(n));
      await journal.close();
      writeFileSync(markPath(path), readFileSync(markPath(other)));
    },
  ],
};

describe('a log in order whose mark', () => {
  for (const [words, [doubt, change]] of Object.entries(PLACES)) {
    it(`${words} is told so at each start until a tick has told people, and not after`, async () => {
      const path = await logOf(30);
      expect(await startOn(path)).toMatchObject({ doubt: null, note: null });
      await change(path);
      // A power cut before the first tick hides nothing: the next start tells the same.
      expect(await startOn(path)).toMatchObject({ doubt, setAside: null, note: expect.any(String) });
      expect(await startOn(path, 31)).toMatchObject({ doubt, note: expect.any(String) });
      expect(await startOn(path)).toMatchObject({ doubt: null, note: null, lastSequence: 31 });
    });
  }
});

describe('a log that is gone', () => {
  it('is not begun anew without a word where its mark is there and cannot be read', async () => {
    const path = await logOf(30);
    for (const part of ['', '-wal', '-shm']) rmSync(path + part, { force: true });
    writeFileSync(markPath(path), Buffer.alloc(8192, 0x20));
    const told = await startOn(path);
    expect(told.setAside).toMatchObject({ why: expect.stringMatching(/mark .*cannot be read/), toMs: null });
    expect(told.setAside?.path).toMatch(/^nowhere/);
    // Told again until a tick came after it.
    expect((await startOn(path)).setAside).not.toBeNull();
    expect((await startOn(path, (told.lastSequence ?? 0) + 1)).setAside).not.toBeNull();
    expect((await startOn(path)).setAside).toBeNull();
  });

  it('is not begun anew without a word where one was set aside and the power went before the new one', async () => {
    const path = await logOf(30);
    const kept = setAside(path, START_MS);
    rmSync(markPath(path));
    const told = await startOn(path);
    expect(told.setAside).toMatchObject({ path: kept, why: expect.stringContaining('set aside') });
    expect(existsSync(kept ?? '')).toBe(true);
  });

  it('is begun in peace in a folder where none ever was', async () => {
    const { path } = options(ownFolder());
    expect(await startOn(path)).toMatchObject({ setAside: null, doubt: null, note: null, created: true });
    expect(readdirSync(join(dirname(path))).filter((name) => name.includes('damaged'))).toEqual([]);
  });
});

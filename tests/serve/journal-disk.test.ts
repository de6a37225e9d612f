import { execFileSync } from 'node:child_process';
import { chmodSync, chownSync, mkdtempSync, readdirSync, rmSync, statfsSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { systemClock } from '../../controller/clock.ts';
import { cookJson } from '../../controller/journal/export.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { verifyLog } from '../../controller/journal/verify.ts';
import { cookExportSchema } from '../../shared/wire/export.ts';
import { COOK_ID, cookRow, endlessTick, options, START_MS, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';
import { WriterProcess } from './journal-process.ts';

/** A disk of its own can only be made by the system's administrator; elsewhere these are left out and said so. */
const MAY_MOUNT = process.platform === 'linux' && process.getuid?.() === 0 && mountable();

function mountable(): boolean {
  const at = mkdtempSync(join(tmpdir(), 'bathkeeper-mount-'));
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', at], { stdio: 'ignore' });
    execFileSync('umount', [at], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  } finally {
    rmSync(at, { recursive: true, force: true });
  }
}

/** The user of a Unix system who owns nothing. */
const NOBODY = 65534;

const mounted: string[] = [];
afterEach(() => {
  for (const at of mounted.splice(0)) {
    execFileSync('umount', ['-l', at]);
    rmSync(at, { recursive: true, force: true });
  }
});

/** A small disk. */
function disk(megabytes: number): string {
  const at = mkdtempSync(join(tmpdir(), 'bathkeeper-disk-'));
  execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${megabytes}m`, 'tmpfs', at]);
  mounted.push(at);
  return at;
}

/** Fills all of a disk but so many bytes, and gives the file that does. */
function fill(at: string, leave: number): string {
  const { bavail, bsize } = statfsSync(at);
  const path = join(at, 'full');
  writeFileSync(path, Buffer.alloc(Math.max(0, bavail * bsize - leave), 1));
  return path;
}

describe.skipIf(!MAY_MOUNT)('a log on a disk that becomes full', () => {
  it('acknowledges nothing that is not on it, says so, and goes on with every row once there is room', async () => {
    const at = disk(8);
    const journal = await openJournal(options(at, { commitEveryMs: 5 }));
    let acknowledged = 0;
    const failures: string[] = [];
    journal.onCommitted(({ throughSequence }) => {
      acknowledged = throughSequence;
    });
    journal.onFailure((error) => failures.push(error.message));
    for (let n = 1; n <= 50; n += 1) journal.write(endlessTick(n));
    await journal.flush();
    const full = fill(at, 8192);
    for (let n = 51; n <= 600; n += 1) journal.write(endlessTick(n));
    await expect.poll(() => failures.length, { timeout: 20_000 }).toBeGreaterThan(0);
    expect(failures.join()).toMatch(/full|SQLITE_FULL|ENOSPC|I\/O/i);
    expect(journal.lagMs(600_000)).toBeGreaterThan(0);
    const reader = await openReader(options(at).path);
    expect(await reader.lastSequence()).toBeGreaterThanOrEqual(acknowledged);
    expect(acknowledged).toBeLessThan(600);
    rmSync(full);
    await expect.poll(() => acknowledged, { timeout: 30_000 }).toBe(600);
    await journal.close();
    expect((await verifyLog(reader, null)).shown).toEqual([]);
    const all = await reader.samples(COOK_ID, 0, 2000);
    expect(all.map(({ sequence }) => sequence)).toEqual(Array.from({ length: 600 }, (_, n) => n + 1));
    await reader.close();
  });

  it('keeps every acknowledged row when its process is killed while the disk is full', async () => {
    const at = disk(8);
    const writer = new WriterProcess(at, 'first');
    await writer.reaches(50);
    const full = fill(at, 16_384);
    await new Promise((resolve) => setTimeout(resolve, 1500));
    await writer.kill();
    rmSync(full);
    const journal = await openJournal(options(at, { bootId: 'after' }));
    expect(journal.report.setAside).toBeNull();
    expect(journal.report.lastSequence).toBeGreaterThanOrEqual(writer.acknowledged);
    await journal.close();
  });

  it('is not begun on a disk without room: a clear error, and nothing left locked', async () => {
    const at = disk(1);
    const full = fill(at, 0);
    await expect(openJournal(options(at))).rejects.toMatchObject({ code: 'journal-failed' });
    rmSync(full);
    const journal = await openJournal(options(at));
    await journal.close();
  });
});

describe.skipIf(!MAY_MOUNT)('a log on a disk that can only be read', () => {
  it('is not written to: a clear error that names it, its rows stay and can still be read and exported', async () => {
    const at = disk(8);
    const journal = await openJournal(options(at));
    for (let n = 1; n <= 100; n += 1) journal.write(endlessTick(n));
    await journal.close();
    execFileSync('mount', ['-o', 'remount,ro', at]);
    await expect(openJournal(options(at, { bootId: 'after' }))).rejects.toMatchObject({
      code: 'journal-failed',
      message: expect.stringMatching(/Check the disk: free space, and that it can be written/),
    });
    const reader = await openReader(options(at).path);
    expect(await reader.lastSequence()).toBe(100);
    await reader.close();
    execFileSync('mount', ['-o', 'remount,rw', at]);
    const again = await openJournal(options(at, { bootId: 'after' }));
    expect(again.report).toMatchObject({ lastSequence: 100, setAside: null });
    await again.close();
  });
});

describe('a data folder that may not be written to', () => {
  it('is a clear error', async () => {
    const at = ownFolder();
    const administrator = process.getuid?.() === 0;
    // To the administrator no folder is closed: the log is opened as somebody else.
    if (administrator) chownSync(at, NOBODY, NOBODY);
    chmodSync(at, 0o500);
    if (administrator) process.seteuid?.(NOBODY);
    try {
      await expect(openJournal(options(at))).rejects.toMatchObject({ code: 'journal-failed' });
    } finally {
      if (administrator) process.seteuid?.(0);
      chmodSync(at, 0o700);
    }
    expect(readdirSync(at)).toEqual([]);
  });
});

describe('a wall clock that is set while a cook runs', () => {
  it('loses no row, keeps their order, and is a gap of its own kind in the export', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    const steps = [0, 7_200_000, -3_600_000];
    for (let n = 1; n <= 90; n += 1) {
      const step = steps[Math.floor((n - 1) / 30)] ?? 0;
      journal.write(tick(n, { wallMs: START_MS + n * 1000 + step, ...(n === 1 ? { cook: cookRow() } : {}) }));
    }
    await journal.close();
    const reader = await openReader(options(folder).path);
    const samples = await reader.samples(COOK_ID, 0, 2000);
    expect(samples.map(({ sequence }) => sequence)).toEqual(Array.from({ length: 90 }, (_, n) => n + 1));
    let text = '';
    for await (const piece of cookJson(reader, COOK_ID)) text += piece;
    const { gaps } = cookExportSchema.parse(JSON.parse(text));
    expect(gaps.map(({ kind, afterSequence }) => [kind, afterSequence])).toEqual([
      ['clock-step', 30],
      ['clock-step', 60],
    ]);
    expect((await verifyLog(reader, null)).breaks).toBe(0);
    await reader.close();
  });

  it('is not trusted from then on, so that no length of a power cut is read off it', () => {
    let wallMs = START_MS;
    const now = Date.now;
    Date.now = () => wallMs + performance.now();
    try {
      const clock = systemClock(() => true);
      expect(clock.wallTrusted()).toBe(true);
      wallMs += 3_600_000;
      expect(clock.wallTrusted()).toBe(false);
      expect(clock.wallTrusted()).toBe(false);
    } finally {
      Date.now = now;
    }
  });
});

describe('two processes on one log', () => {
  it('are one too many: the second is refused by name while the first lives, and loses nothing of it', async () => {
    const folder = ownFolder();
    const first = new WriterProcess(folder, 'first');
    await first.reaches(0);
    const tries = Array.from({ length: 4 }, () => openJournal(options(folder, { bootId: 'second' })));
    const answers = await Promise.allSettled(tries);
    for (const one of answers)
      expect(one).toMatchObject({ status: 'rejected', reason: { code: 'database-busy' } });
    const before = first.acknowledged;
    await first.reaches(before + 50);
    await first.kill();
    const journal = await openJournal(options(folder, { bootId: 'third' }));
    expect(journal.report.lastSequence).toBeGreaterThanOrEqual(first.acknowledged);
    await journal.close();
    const reader = await openReader(options(folder).path);
    expect((await verifyLog(reader, null)).shown).toEqual([]);
    expect((await reader.cook(COOK_ID)).runs.map(({ bootId }) => bootId)).not.toContain('second');
    await reader.close();
  });
});

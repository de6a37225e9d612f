import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { awaySince, machineNow, markKeeper, markPath } from '../../controller/uptime-mark.ts';

const folder = mkdtempSync(join(tmpdir(), 'bath-mark-'));
afterAll(() => rmSync(folder, { recursive: true }));

describe('how long a restarted controller has been away, by the uptime of the machine', () => {
  const mark = { machineBootId: 'first', upMs: 100_000, sequence: 500 };
  const now = { machineBootId: 'first', upMs: 107_000 };

  it('counts from the last tick on disk, though later ones were run', () => {
    expect(awaySince(mark, now, 500)).toBe(7000);
    expect(awaySince(mark, now, 498)).toBe(9000);
  });

  it('is not known after a start of the machine, without a mark, or for another log', () => {
    expect(awaySince(mark, { ...now, machineBootId: 'second' }, 500)).toBeNull();
    expect(awaySince(mark, { ...now, upMs: 90_000 }, 500)).toBeNull();
    expect(awaySince(null, now, 500)).toBeNull();
    expect(awaySince(mark, null, 500)).toBeNull();
    expect(awaySince(mark, now, 501)).toBeNull();
    expect(awaySince(mark, now, 300)).toBeNull();
    expect(awaySince(mark, now, 0)).toBeNull();
  });

  it('is kept in memory that goes with the machine: the folder of the service, else that of the system', () => {
    expect(markPath('data/usb', { RUNTIME_DIRECTORY: '/run/bathkeeper' })).toMatch(
      /^\/run\/bathkeeper\/bathkeeper-[0-9a-f]{16}\.json$/,
    );
    expect(markPath('data/usb', {})).not.toBe(markPath('data/emulated', {}));
    if (process.platform === 'linux') expect(markPath('data/usb', {})).toMatch(/^\/dev\/shm\//);
  });

  it('is written and read whole, and a mark that cannot be read or written is none', () => {
    const path = join(folder, 'mark.json');
    let upMs = 5000;
    const moment = () => ({ machineBootId: 'first', upMs });
    const keeper = markKeeper(path, moment);
    expect(keeper.awayMs(9)).toBeNull();
    keeper.keep(9);
    upMs += 2500;
    expect(keeper.awayMs(9)).toBe(2500);
    writeFileSync(path, '{"machineBootId":"first","upMs":');
    expect(keeper.awayMs(9)).toBeNull();
    const nowhere = markKeeper(join(folder, 'no', 'such', 'mark.json'), moment);
    expect(() => nowhere.keep(1)).not.toThrow();
    expect(markKeeper(null).awayMs(9)).toBeNull();
  });

  it('goes on while this machine runs', () => {
    const before = machineNow();
    const after = machineNow();
    expect(before === null).toBe(process.platform !== 'linux');
    if (before && after) expect(after.upMs).toBeGreaterThanOrEqual(before.upMs);
  });
});

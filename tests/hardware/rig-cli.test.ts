import { type ChildProcess, spawn } from 'node:child_process';
import { chmodSync, mkdtempSync, readFileSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readCommissionings } from '../../controller/cli/rig/record.ts';
import { tripFrame } from '../../shared/wire/board.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { ROM } from './rig-bench.ts';
import { type PtyBoard, ptyBoard } from './rig-pty.ts';

/** User "nobody" of Debian: to root no port is denied. */
const NOBODY = 65_534;
let bed: PtyBoard;
let folder: string;
let config: string;
let record: string;

beforeAll(async () => {
  bed = await ptyBoard();
  folder = mkdtempSync(join(tmpdir(), 'bath-cli-'));
  config = join(folder, 'bathkeeper.json');
  record = join(folder, 'commissioning.json');
  writeFileSync(config, JSON.stringify({ rig: { commissioningFile: record } }));
});
afterAll(async () => {
  await bed.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** `bathkeeper rig` as a process of its own; `watch` sees each line for people as it comes. */
function rig(
  argv: readonly string[],
  watch: (line: string) => void = () => {},
  uid?: number,
): Promise<Ended> {
  const args = ['--import', 'tsx', 'controller/cli/bathkeeper.ts', 'rig', '--config', config, ...argv];
  const child: ChildProcess = spawn(process.execPath, args, {
    stdio: ['ignore', 'pipe', 'pipe'],
    ...(uid === undefined ? {} : { uid, gid: uid, env: { PATH: process.env.PATH } }),
  });
  let out = '';
  let err = '';
  child.stdout?.on('data', (text: Buffer) => {
    out += text;
  });
  child.stderr?.on('data', (text: Buffer) => {
    err += text;
    for (const line of text.toString().split('\n')) if (line !== '') watch(line);
  });
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, out, err })));
}

const written = () => {
  const checked = checkConfig(JSON.parse(readFileSync(config, 'utf8')));
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  return checked.config.rig;
};

describe('bathkeeper rig, as a process on a real port', () => {
  it('lists ports, board, firmware and live probes, and writes the roles that it is given', async () => {
    const roles = ['--role', `${ROM.bath}=bath`, '--role', `${ROM.ambient}=ambient`];
    const { code, out, err } = await rig(['--list', '--port', bed.path, ...roles, '--json']);
    expect(err).toMatch(/Roles written/);
    expect(code).toBe(0);
    const report = JSON.parse(out);
    expect(report.board).toMatchObject({
      port: bed.path,
      name: 'Bathkeeper',
      firmware: '0.1.0',
      fault: null,
    });
    expect(report.probes).toMatchObject([
      { rom: ROM.bath, role: 'bath', celsius: 60, probeErrorC: 0.5 },
      { rom: ROM.ambient, role: 'ambient', celsius: 18 },
    ]);
    expect(report.probes[0].flags[0]).toMatch(/no calibration/);
    expect(written()).toMatchObject({ port: bed.path });
    expect(written().probes).toHaveLength(2);
  }, 40_000);

  it('says who may not open the port, exits 1, and loses nothing of the configuration', async () => {
    const device = realpathSync(bed.path);
    const root = process.getuid?.() === 0;
    const before = readFileSync(config, 'utf8');
    chmodSync(device, 0);
    // The folders are for their owner alone; who asks must be able to read the way to the port.
    chmodSync(join(bed.path, '..'), 0o755);
    chmodSync(folder, 0o755);
    chmodSync(config, 0o644);
    const { code, out } = await rig(
      ['--list', '--port', bed.path, '--json'],
      () => {},
      root ? NOBODY : undefined,
    );
    chmodSync(device, 0o600);
    expect(code).toBe(1);
    expect(JSON.parse(out).board.fault).toMatch(/may not open the serial port.*Permission denied.*dialout/);
    expect(readFileSync(config, 'utf8')).toBe(before);
  }, 40_000);

  it('calibrates by points that add up over several runs, boiling water as a check that moves no date', async () => {
    // Only read: the board may run faster than real time.
    bed.speed = 12;
    const calibrate = (...flags: string[]) => rig(['--calibrate', ROM.bath, '--by', 'Hut', ...flags]);
    bed.bathC = -0.25;
    expect((await calibrate('--ice')).code).toBe(0);
    const first = written().calibrations[0]!;
    expect(first).toMatchObject({ method: 'check-only', by: 'Hut', points: [{ kind: 'ice', readC: -0.25 }] });
    bed.bathC = 64.75;
    const instrument = ['--limit', '0.1', '--instrument', 'hut thermometer, certificate of 2026'];
    expect((await calibrate('--reference', '65', ...instrument)).out).toMatch(
      /offset 0\.25 K by ice, reference/,
    );
    // 1400 m: water boils at 95.3 degC (ICAO standard atmosphere and saturation pressure, see boiling.ts).
    bed.bathC = 95;
    expect((await calibrate('--boiling', '--altitude', '1400')).out).toMatch(/by ice, reference, boiling/);
    bed.speed = 1;
    const [made] = written().calibrations;
    expect(made?.points.map(({ kind }) => kind)).toEqual(['ice', 'reference', 'boiling']);
    expect(made?.calibratedAt).toBe(first.calibratedAt);
    expect(made?.correction.offsetC).toBeCloseTo(0.25, 2);
    bed.bathC = 60;
    const { probes } = JSON.parse((await rig(['--list', '--json'])).out);
    expect(probes[0]).toMatchObject({ celsius: 60.25, flags: [] });
    expect(probes[0].probeErrorC).toBe(made?.uncertaintyC);
  }, 90_000);

  it('commissions by flags, with every check its own, and really kills the process that holds the port', async () => {
    const { board } = bed;
    const seen: string[] = [];
    let pulledWhileHeating = false;
    const deeds: [RegExp, () => void][] = [
      [/Hold the bath probe/, () => Object.assign(bed, { bathC: 64 })],
      [/Take the float .* out/, () => Object.assign(board, { waterPresent: false })],
      [/Let the float back/, () => Object.assign(board, { waterPresent: true })],
      [/pull the USB plug/, () => pullWhileHeating()],
      [/Plug it in again/, () => void bed.plug()],
    ];
    const pullWhileHeating = (): void => {
      let heatsSinceMs: number | null = null;
      const timer = setInterval(() => {
        if (board.heaterClosed) heatsSinceMs ??= board.nowMs;
        // As a person does: longer than one lease lasts, so that it is the plug that ends the heat.
        if (heatsSinceMs === null || board.nowMs - heatsSinceMs < 2500) return;
        clearInterval(timer);
        pulledWhileHeating = board.heaterClosed;
        bed.unplug();
      }, 5);
    };
    // The board's own clock: from the word that a step before the kill passed until the circuit has opened for good.
    let openedMs = Number.POSITIVE_INFINITY;
    const timeKill = (): void => {
      let struckMs: number | null = null;
      const timer = setInterval(() => {
        if (board.heaterClosed) struckMs ??= board.nowMs;
        else if (struckMs !== null) {
          openedMs = board.nowMs - struckMs;
          clearInterval(timer);
        }
      }, 2);
    };
    const watch = (line: string): void => {
      seen.push(line);
      if (/^silence: passed/.test(line)) timeKill();
      for (const [pattern, deed] of deeds) if (pattern.test(line)) deed();
    };
    const before = readFileSync(config, 'utf8');
    const answers = ['--ready', '--heard', 'yes', '--went-off', 'yes', '--cut-out', '98', '--called', 'yes'];
    const { code, out } = await rig(['--commission', '--by', 'Hut', '--json', ...answers], watch);
    const [kept] = readCommissionings(record);
    expect(JSON.parse(out)).toEqual(kept);
    expect(kept?.steps.filter(({ outcome }) => outcome !== 'passed')).toEqual([]);
    expect(kept?.steps.map(({ step }) => step)).toEqual([
      ...['probe', 'level', 'regulating', 'guard', 'sounder'],
      ...['silence', 'killed', 'unplugged', 'cut-out', 'alarm-path'],
    ]);
    expect(kept?.steps.find(({ step }) => step === 'killed')?.seen).toMatch(
      /process killed; open when heard again/,
    );
    // What was seen was done by the board alone: the next process came only after any lease was over.
    const told = kept?.steps.find(({ step }) => step === 'killed')?.seen ?? '';
    expect(Number(/heard again after (\d+) ms/.exec(told)?.[1])).toBeGreaterThan(2000);
    expect(openedMs).toBeLessThanOrEqual(2000);
    expect(pulledWhileHeating).toBe(true);
    expect(code).toBe(0);
    expect(board.heaterClosed).toBe(false);
    // What leaving a cook alone rests on is kept with its date, and the rest of the configuration as it was.
    const written = JSON.parse(readFileSync(config, 'utf8'));
    const day = kept?.at.slice(0, 10);
    expect(written.safety).toMatchObject({ cutOutProvenOn: day, alarmPathProvenOn: day });
    expect(written.rig).toEqual(JSON.parse(before).rig);
  }, 120_000);

  it('clears a cut by its name alone, and no other', async () => {
    bed.board.link.write(tripFrame(1, 7));
    const other = await rig(['--clear', 'levelLow']);
    expect(other).toMatchObject({
      code: 2,
      err: expect.stringContaining('Latched is "host", not "levelLow"'),
    });
    bed.board.waterPresent = false;
    const early = await rig(['--clear', 'host']);
    expect(early).toMatchObject({ code: 1, err: expect.stringMatching(/Not cleared: .*water is too low/) });
    bed.board.waterPresent = true;
    expect(await rig(['--clear', 'host'])).toMatchObject({ code: 0, out: 'Cleared.\n' });
    expect(await rig(['--clear', 'host'])).toMatchObject({ code: 0, out: 'Nothing is latched.\n' });
  }, 60_000);
});

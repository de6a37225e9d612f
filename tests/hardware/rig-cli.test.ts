import { chmodSync, mkdtempSync, readFileSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rigVerb } from '../../controller/cli/rig.ts';
import { tripFrame } from '../../shared/wire/board.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { ROM } from './rig-bench.ts';
import { type Ended, rigProcess } from './rig-process.ts';
import { type PtyBoard, ptyBoard } from './rig-pty.ts';

/** User "nobody" of Debian: to root no port is denied. */
const NOBODY = 65_534;
let bed: PtyBoard;
let folder: string;
let config: string;

beforeAll(async () => {
  bed = await ptyBoard();
  folder = mkdtempSync(join(tmpdir(), 'bath-cli-'));
  config = join(folder, 'bathkeeper.json');
  writeFileSync(config, '{}');
});
afterAll(async () => {
  await bed.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The verb in this process: quicker, where nothing hangs on a process of its own. The port is in one in any case. */
async function verb(...argv: string[]): Promise<Ended> {
  const said = { out: '', err: '' };
  const io = {
    out(text: string) {
      said.out += text;
    },
    err(text: string) {
      said.err += text;
    },
  };
  const code = await rigVerb(['--config', config, ...argv], io);
  return { code, ...said };
}

const written = () => {
  const checked = checkConfig(JSON.parse(readFileSync(config, 'utf8')));
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  return checked.config.rig;
};

describe('bathkeeper rig on a real port', () => {
  it('lists ports, board, firmware and live probes, and writes the roles that it is given', async () => {
    const roles = ['--role', `${ROM.bath}=bath`, '--role', `${ROM.ambient}=ambient`];
    const { code, out, err } = await rigProcess([
      '--config',
      config,
      '--list',
      '--port',
      bed.path,
      ...roles,
      '--json',
    ]);
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
    const { code, out } = await rigProcess(
      ['--config', config, '--list', '--port', bed.path, '--json'],
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
    const calibrate = (...flags: string[]) => verb('--calibrate', ROM.bath, '--by', 'Hut', ...flags);
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
    const { probes } = JSON.parse((await verb('--list', '--json')).out);
    expect(probes[0]).toMatchObject({ celsius: 60.25, flags: [] });
    expect(probes[0].probeErrorC).toBe(made?.uncertaintyC);
  }, 90_000);

  it('clears a cut by its name alone, and no other', async () => {
    bed.board.link.write(tripFrame(1, 7));
    const other = await verb('--clear', 'levelLow');
    expect(other).toMatchObject({
      code: 2,
      err: expect.stringContaining('Latched is "host", not "levelLow"'),
    });
    bed.board.waterPresent = false;
    const early = await verb('--clear', 'host');
    expect(early).toMatchObject({ code: 1, err: expect.stringMatching(/Not cleared: .*water is too low/) });
    bed.board.waterPresent = true;
    expect(await verb('--clear', 'host')).toMatchObject({ code: 0, out: 'Cleared.\n' });
    expect(await verb('--clear', 'host')).toMatchObject({ code: 0, out: 'Nothing is latched.\n' });
  }, 60_000);
});

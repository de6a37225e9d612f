import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { calibrateProbe } from '../../controller/cli/rig/calibrate.ts';
import { analoguePart } from '../../controller/rig/calibrate/part.ts';
import { openUsb } from '../../controller/rig/usb/open.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState } from '../../controller/tick/state.ts';
import { type TickOutput, tick } from '../../controller/tick/tick.ts';
import type { Command } from '../../shared/wire/command.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { say } from '../control/cook.ts';
import { ntc, ntcCode, pt100Code } from './analogue-circuits.ts';
import { askedOurs, PlainBoard, plainPty } from './plain-board.ts';
import { ROM } from './rig-bench.ts';
import { rigProcess } from './rig-process.ts';
import { pause, ptyBoard } from './rig-pty.ts';

/** IEC 60751, Pt100: 60 degC is 123.2419 ohm, 0 degC 100 ohm. 103AT-2 table: 20 degC is 12.09 kohm. */
const [AT_60, AT_0, ROOM] = [pt100Code(123.2419), pt100Code(100), ntcCode(12_090)];
const CURVE = {
  points: [
    { celsius: 0, ohms: 27_280 },
    { celsius: 25, ohms: 10_000 },
    { celsius: 85, ohms: 1451 },
  ],
};
const ANALOGUE = [
  {
    ...{ name: 'A1', kind: 'pt100', role: 'bath', errorC: 3 },
    ...{ supplyVolts: 5, seriesOhms: 2200, gain: 40, offsetVolts: -8 },
  },
  { name: 'A0', kind: 'ntc', role: 'ambient', seriesOhms: 2200, thermistorTo: 'ground', curve: CURVE },
];

const codes: (number | null)[] = [ROOM, AT_60];
let board: PlainBoard;
let pty: Awaited<ReturnType<typeof plainPty>>;
let folder: string;
let config: string;

beforeAll(async () => {
  board = new PlainBoard({ code: (channel) => codes[channel] ?? null });
  pty = await plainPty(board);
  folder = mkdtempSync(join(tmpdir(), 'bath-plain-'));
  config = join(folder, 'bathkeeper.json');
  writeFileSync(config, JSON.stringify({ rig: { port: pty.path, analogue: ANALOGUE } }));
});
afterAll(() => {
  pty.close();
  rmSync(folder, { recursive: true, force: true });
});

const list = (...more: string[]) => rigProcess(['--config', config, '--list', ...more]);

describe('a board with plain Firmata behind a real pseudo-terminal, read by the process that owns the port', () => {
  it('is listed with its analogue probes live, each with the worth of one step, and with the reason why it never heats', async () => {
    const { code, out } = await list('--json');
    // As of every board that cannot heat.
    expect(code).toBe(1);
    const { board: seen, probes } = JSON.parse(out);
    expect(seen.name).toBe('Plain board');
    expect(seen.fault).toMatch(/never heated with/);
    expect(probes).toMatchObject([
      { rom: 'A0', role: 'ambient', probeErrorC: 2, analogue: { kind: 'ntc', code: ROOM } },
      { rom: 'A1', role: 'bath', probeErrorC: 3, analogue: { kind: 'pt100', code: AT_60 } },
    ]);
    for (const [one, celsius] of [
      [probes[0], 20],
      [probes[1], 60],
    ]) {
      expect(Math.abs(one.celsius - celsius)).toBeLessThan(one.analogue.stepK / 2 + 0.04);
      expect(one.analogue.stepK).toBeLessThan(0.25);
    }
    const { out: text } = await list();
    expect(text).toMatch(
      /A1 {2}bath {2}60\.\d\d °C, give or take 3\.00 {2}\(platinum, code \d+\.0, one step is 0\.1\d K\)/,
    );
    expect(text).toMatch(/A0 {2}ambient {2}\d\d\.\d\d °C, .*\(NTC, code \d+\.0, one step is 0\.\d\d K\)/);
  }, 60_000);

  it('has a broken wire told in place of a number', async () => {
    codes[1] = 1023;
    const { out } = await list();
    codes[1] = AT_60;
    expect(out).toMatch(/A1 {2}bath {2}A1: the platinum thermometer is open: a broken wire or no probe/);
  }, 40_000);

  it('is never heated with: no message of ours goes out in a cook, though the bath probe reads well and heat is wanted', async () => {
    const checked = checkConfig(JSON.parse(readFileSync(config, 'utf8')));
    if (!checked.ok) throw new Error(checked.faults.join());
    const told: string[] = [];
    const rig = openUsb({ config: checked.config, log: (line) => told.push(line) });
    let state = startState(settingsFrom(checked.config, 'bench'));
    let sequence = 0;
    const step = (commands: Command[], most: number): TickOutput => {
      sequence++;
      const nowMs = performance.now();
      const clocks = { monotonicMs: nowMs, wallMs: Date.now(), wallTrusted: true };
      const read = rig.read(nowMs);
      const input = { sequence, ...clocks, ...read, journalLagMs: 0, commands, restart: null };
      const { state: after, output } = tick(state, input);
      state = after;
      // Whatever the tick decides: a lease is put to the rig every time.
      rig.heat({ ms: most }, nowMs);
      return output;
    };
    const runFor = async (seconds: number, each: () => void = () => {}) => {
      for (let i = 0; i < seconds * 4; i++) {
        await pause(250);
        step([], 1600);
        each();
      }
    };
    const alarms = () => state.alarms.filter(({ active }) => active).map(({ alarmId }) => alarmId);
    const bath = () => rig.read(performance.now()).readings.bath;
    try {
      for (let i = 0; i < 60 && bath().celsius === null; i++) await pause(250);
      expect(told.join()).toMatch(/Analogue probes \(A1, A0\).*nothing is heated here/);
      expect(Math.abs(bath().celsius! - 60)).toBeLessThan(0.1);
      expect(step([say.start(70)], 1600).results[0]?.accepted).toBe(true);
      await runFor(6, () => expect(bath().quality).toBe('good'));
      expect(state.cook?.endedAtMs).toBeNull();
      expect(alarms()).toContain('heat-link-lost');
      expect(step([], 1600).lease).toBeNull();
      expect(rig.read(performance.now()).board).toMatchObject({ link: 'down' });
      expect(rig.read(performance.now()).board.leaseRefused).toMatch(/never heated with/);
      // Its values stop: stale, then an alarm of its own.
      codes[1] = null;
      await runFor(9);
      expect(bath()).toMatchObject({ celsius: null, quality: 'absent' });
      expect(alarms()).toContain('probe-invalid');
    } finally {
      codes[1] = AT_60;
      await rig.close();
    }
    expect(board.written.length).toBeGreaterThan(20);
    expect(askedOurs(board.written)).toBe(false);
  }, 60_000);

  it('is calibrated by the name of a pin like a DS18B20 by its ROM: dated, kept in the configuration, flagged', async () => {
    codes[1] = AT_0 + 5;
    const argv = ['--config', config, '--calibrate', 'A1', '--ice', '--by', 'Hut'];
    const { code, out, err } = await rigProcess(argv);
    codes[1] = AT_60;
    expect(`${out}${err}`).toMatch(/A1: check-only .* by ice/);
    expect(code).toBe(0);
    const kept = JSON.parse(readFileSync(config, 'utf8')).rig.calibrations;
    expect(kept).toMatchObject([{ rom: 'A1', by: 'Hut', points: [{ kind: 'ice' }] }]);
    expect(Date.now() - Date.parse(kept[0].calibratedAt)).toBeLessThan(60_000);
    const listed = JSON.parse((await list('--json')).out).probes[1];
    expect(listed.flags.join()).toMatch(/Ice alone says nothing sure/);
  }, 90_000);

  it('is not commissioned and its probe gets its role only in the configuration: both are said', async () => {
    const commission = await rigProcess(['--config', config, '--commission', '--ready']);
    expect(commission).toMatchObject({
      code: 2,
      err: expect.stringMatching(/bath probe is on an analogue pin/),
    });
    const role = await rigProcess(['--config', config, '--role', 'A1=bath']);
    expect(role).toMatchObject({ code: 2, err: expect.stringMatching(/has its role in rig\.analogue/) });
    expect(askedOurs(board.written)).toBe(false);
  }, 40_000);
});

describe('analogue probes and a board with our firmware', () => {
  it('are not read, and that is said of each; as the bath probe they are a fault, and no limits or leases go out', async () => {
    const bed = await ptyBoard();
    const file = join(folder, 'ours.json');
    const [bath, ambient] = ANALOGUE;
    writeFileSync(
      file,
      JSON.stringify({
        rig: { port: bed.path, probes: [{ rom: ROM.bath, role: 'bath' }], analogue: [ambient] },
      }),
    );
    const beside = await rigProcess(['--config', file, '--list', '--json']);
    writeFileSync(file, JSON.stringify({ rig: { port: bed.path, analogue: [bath] } }));
    const alone = await rigProcess(['--config', file, '--list', '--json']);
    await bed.close();
    expect(beside.code).toBe(0);
    const seen = JSON.parse(beside.out);
    expect(seen.probes[0]).toMatchObject({ rom: ROM.bath, role: 'bath', celsius: 60 });
    expect(seen.probes.at(-1)).toMatchObject({ rom: 'A0', celsius: null });
    expect(seen.probes.at(-1).why).toMatch(/our firmware, which reads DS18B20 only/);
    expect(alone.code).toBe(1);
    expect(JSON.parse(alone.out).board.fault).toMatch(/bath probe is on an analogue pin.*A1/);
    expect(bed.board.heaterClosedMs).toBe(0);
  }, 60_000);
});

describe('a calibration of an analogue probe', () => {
  it('takes ice and a reference at rest by its own coarser steps, and leaves no less doubt than a step allows', async () => {
    const probe = ntc('A0', { errorC: 2.5 });
    let readC = 0.9;
    let sequence = 0;
    let nowMs = 0;
    const bench = {
      nowMs: () => nowMs,
      pass: async (ms: number) => {
        nowMs += ms;
        sequence++;
      },
      // Flickers between two codes, 0.2 K apart: a DS18B20 that did so would not count as at rest.
      view: () => ({ probes: [{ rom: 'A0', celsius: readC + (sequence % 2) * 0.2, sequence }] }),
    } as unknown as Parameters<typeof calibrateProbe>[0];
    const io = { out: () => undefined, err: () => undefined };
    const part = analoguePart(probe);
    const take = (point: object, before: Parameters<typeof calibrateProbe>[3]) =>
      calibrateProbe(
        bench,
        'A0',
        { point, by: 'Hut' } as unknown as Parameters<typeof calibrateProbe>[2],
        before,
        part,
        io,
      );
    const ice = await take({ kind: 'ice' }, null);
    expect(ice).toMatchObject({ method: 'check-only', uncertaintyC: 2.5 });
    readC = 63.5;
    const both = await take(
      { kind: 'reference', referenceC: 65, limitC: 0.1, instrument: 'hut thermometer' },
      ice,
    );
    expect(both.method).toBe('line');
    expect(both.correction.offsetC).toBeCloseTo(1.4, 1);
    expect(both.uncertaintyC).toBeGreaterThan(2 * part.quantumC);
    expect(both.uncertaintyC).toBeLessThan(1);
  });
});

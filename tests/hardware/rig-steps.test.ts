import { chmodSync, chownSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { celsiusIn } from '../../controller/cli/rig/ask.ts';
import type { RigBench } from '../../controller/cli/rig/bench.ts';
import { keepProofs } from '../../controller/cli/rig/proofs.ts';
import { checkRecord } from '../../controller/cli/rig/record.ts';
import type { Person, Step } from '../../controller/cli/rig/step-parts.ts';
import { STEPS } from '../../controller/cli/rig/steps.ts';
import { changePart } from '../../controller/cli/rig/write-config.ts';
import { openEmulatedPort } from '../../controller/rig/emulated.ts';
import type { Order } from '../../controller/rig/usb/view.ts';
import { BATH_PROBE_ROMS, Board, BoardStream } from '../../hardware/emulator/index.ts';
import { image } from './firmware-rig.ts';
import { ROM, WANTED } from './rig-bench.ts';

const [, level, regulating, guard, sounder, silence, , unplugged] = STEPS as [
  Step,
  Step,
  Step,
  Step,
  Step,
  Step,
  Step,
  Step,
];

/** User "nobody" of Debian. */
const NOBODY = 65_534;

interface Parts {
  readonly hex?: string;
  readonly attended?: boolean;
  /** What becomes of an order on its way; null: it is lost. */
  readonly onOrder?: (order: Order, board: Board) => Order | null;
  /** Something happens once the board's clock is there, ms after the start. */
  readonly at?: { readonly ms: number; readonly does: (board: Board) => void };
  readonly saw?: boolean | null;
}

/** The steps on an emulated board that passes for a real one, in lockstep; a person does and says as told. */
async function bench({ hex = image(), attended = false, onOrder, at, saw = true }: Parts = {}) {
  const board = new Board({ hex, probes: [{ rom: BATH_PROBE_ROMS.bath, celsius: () => 20 }] });
  const clock = {
    get nowMs() {
      return board.nowMs;
    },
    advanceTo: (ms: number) => board.advanceTo(ms),
    connect: () => new BoardStream(board, { resetOnOpen: true }),
  };
  let nowMs = 0;
  const opened = () => openEmulatedPort(clock, { ...WANTED, attended }, nowMs);
  let link = await opened();
  let done = at === undefined;
  const said: string[] = [];
  const port = {
    ...{ view: (ms: number) => link.view(ms), close: () => link.close() },
    send(order: Order) {
      const passed = onOrder ? onOrder(order, board) : order;
      if (passed !== null) link.send(passed);
    },
  };
  const rig: RigBench = {
    ...{ name: 'bench', emulated: false, port, killHost: null, act: () => undefined },
    nowMs: () => nowMs,
    async pass(ms) {
      nowMs += ms;
      port.view(nowMs);
      if (!done && at && nowMs >= at.ms) {
        done = true;
        at.does(board);
      }
      await new Promise((resolve) => setImmediate(resolve));
    },
    view: () => port.view(nowMs),
  };
  const person: Person = {
    async please(text) {
      said.push(text);
      if (!/Plug it in again/.test(text)) return;
      board.faults.plugUsb();
      link = await opened();
    },
    saw: async () => saw,
    cutOutC: async () => null,
  };
  await rig.pass(3000);
  const run = (step: Step) => step({ bench: rig, person, bathRom: ROM.bath });
  return { board, run, said, bench: rig };
}

describe('a switch alone in commissioning', () => {
  it('closes by five leases, then opens by itself within 2 s of the last: no release is sent before that is seen', async () => {
    let releasedOpen: boolean | null = null;
    const onOrder = (order: Order, board: Board): Order => {
      const closed = board.switches.closed('guard');
      if (order.kind === 'release') releasedOpen = !closed;
      return order;
    };
    const { run } = await bench({ onOrder });
    const { outcome, seen } = await run(guard);
    expect(outcome).toBe('passed');
    const openedMs = Number(/open (\d+) ms after/.exec(seen)?.[1]);
    expect(openedMs).toBeGreaterThanOrEqual(1600);
    expect(openedMs).toBeLessThanOrEqual(2000);
    expect(releasedOpen).toBe(true);
  });

  it('does not pass on what a board said before it fell silent', async () => {
    const { run } = await bench({ at: { ms: 4500, does: (board) => board.faults.stallUsb() } });
    expect(await run(guard)).toMatchObject({
      outcome: 'failed',
      seen: expect.stringMatching(/not seen open/),
    });
  });

  it('does not pass where the switch opens only because the board was reset', async () => {
    const { run } = await bench({ at: { ms: 8300, does: (board) => board.faults.pressReset() } });
    expect((await run(guard)).outcome).toBe('failed');
  });

  it('of a board with one switch is tried with a word that it heats, and the guard that is not there is not failed', async () => {
    const { run, said, board } = await bench({ hex: image('one-switch'), attended: true });
    expect((await run(regulating)).outcome).toBe('passed');
    expect(said.join(' ')).toMatch(/one switch: the next step HEATS/);
    expect(await run(guard)).toMatchObject({
      outcome: 'not-done',
      seen: expect.stringMatching(/attended use/),
    });
    expect((await run(silence)).outcome).toBe('passed');
    expect(board.switches.closed('regulating')).toBe(false);
  });
});

describe('a wiring fault in commissioning', () => {
  it('is told in words that say where to look: a float that never falls, one that never rises, a sounder not heard', async () => {
    const stuck = await bench();
    expect((await stuck.run(level)).seen).toMatch(/low seen: no.*wires may be joined.*sticks/);
    const off = await bench({
      at: { ms: 3500, does: (board) => Object.assign(board, { waterPresent: false }) },
    });
    expect((await off.run(level)).seen).toMatch(/water seen again: no.*wire may be off.*upside down/);
    const deaf = await bench({ saw: false });
    expect(await deaf.run(sounder)).toMatchObject({
      outcome: 'failed',
      seen: expect.stringMatching(/heard: no. Look at its two wires/),
    });
  });

  it('of a switch output that is shorted to the supply is told as that', async () => {
    const { run } = await bench({ at: { ms: 3500, does: (board) => board.faults.tieSwitchPin('guard') } });
    const { outcome, seen } = await run(regulating);
    expect(outcome).toBe('failed');
    expect((await run(silence)).seen).toMatch(/did not close.*a cut is latched: a switch output was high/);
    expect(seen).toMatch(/the other closed too.*a cut is latched: a switch output was high/);
  });
});

describe('the plug pulled in commissioning', () => {
  it('is pulled while heat is on, however long the person takes, and passes once all is open again', async () => {
    const { run } = await bench({ at: { ms: 15_000, does: (board) => board.faults.pullUsb() } });
    expect(await run(unplugged)).toMatchObject({
      outcome: 'passed',
      seen: expect.stringMatching(/heat on until the link was lost: yes/),
    });
  });

  it('does not pass where heat was not on when it was pulled: the heater would have been off in any case', async () => {
    const { run } = await bench({
      onOrder: (order) => (order.kind === 'lease' ? null : order),
      at: { ms: 9000, does: (board) => board.faults.pullUsb() },
    });
    expect(await run(unplugged)).toMatchObject({
      outcome: 'failed',
      seen: expect.stringMatching(/heat on until the link was lost: no/),
    });
  });

  it('does not pass where nobody pulls it, and heat ends after half a minute', async () => {
    const { run, board } = await bench();
    expect((await run(unplugged)).outcome).toBe('failed');
    expect(board.heaterClosed).toBe(false);
  });
});

describe('what a person types', () => {
  it('is read as degrees C with point or comma and with its unit, and words are no answer', () => {
    expect(['95', '92,5', ' 98.2 °C', '97c'].map(celsiusIn)).toEqual([95, 92.5, 98.2, 97]);
    expect(['hot', '95 F', '9 5', ''].map(celsiusIn)).toEqual([null, null, null, null]);
  });
});

describe('the configuration', () => {
  it('stays readable for whom it was, whoever changes it', () => {
    const folder = mkdtempSync(join(tmpdir(), 'bath-config-'));
    const path = join(folder, 'bathkeeper.json');
    for (const mode of [0o640, 0o604]) {
      writeFileSync(path, '{}');
      chmodSync(path, mode);
      if (process.getuid?.() === 0) chownSync(path, NOBODY, NOBODY);
      const before = statSync(path);
      expect(changePart(path, 'rig', () => ({ port: '/dev/bathkeeper-board' }))).toEqual([]);
      expect(JSON.parse(readFileSync(path, 'utf8')).rig.port).toBe('/dev/bathkeeper-board');
      const { uid, gid, mode: after } = statSync(path);
      expect([uid, gid, after]).toEqual([before.uid, before.gid, before.mode]);
    }
    rmSync(folder, { recursive: true });
  });

  it('that cannot be written is told with its name, and what to do', () => {
    const faults = changePart(join(tmpdir(), 'no-such-folder', 'bathkeeper.json'), 'rig', () => ({}));
    expect(faults).toEqual([
      expect.stringMatching(/bathkeeper\.json cannot be written: .*Nothing was changed.*sudo/),
    ]);
  });
});

describe('the record of commissionings', () => {
  it('that cannot be read or written is told before the first step, with its name and what to do', () => {
    const folder = mkdtempSync(join(tmpdir(), 'bath-record-'));
    const path = join(folder, 'commissioning.json');
    expect(() => checkRecord(path)).not.toThrow();
    writeFileSync(path, '[{"at": "yesterday"}]');
    expect(() => checkRecord(path)).toThrow(/commissioning\.json cannot be read: .*at.*Move it away/s);
    writeFileSync(path, '[{');
    expect(() => checkRecord(path)).toThrow(/commissioning\.json cannot be read: .*JSON.*Move it away/s);
    rmSync(folder, { recursive: true });
    expect(() => checkRecord(path)).toThrow(/cannot be written to .*rig\.commissioningFile/);
  });
});

/** A line of the parts list. */
const partsRow = (ref: string) =>
  readFileSync('hardware/wiring/parts.csv', 'utf8')
    .split('\r\n')
    .find((line) => line.startsWith(`${ref},`)) ?? '';

describe('The cut-out on the element', () => {
  // 90 to 100 degC: the parts list of hardware/wiring, row F3. Water in an open box boils at 100 degC at most, so what opens
  // above never opens in a boiling bath. From memory, steam table: 95 degC at 84.6 kPa,
  // 97 at 91.0, 90 at 70.2; ICAO standard atmosphere: 84.6 kPa at 1500 m, 91.0 at 900 m, 70.1 at 3000 m; in steps of 100 m below.
  it.each([
    [60, false, /would open in a cook/],
    [85, true, /Warning: it opens below its rating/],
    [90, true, /expected 90 to 100. Water must boil hotter.*than about 2900 m above/],
    [95, true, /than about 1400 m above the sea a boiling bath would not open it/],
    [97, true, /than about 800 m above/],
    [100, true, /expected 90 to 100. Water must boil hotter.*than about 0 m above/],
    [100.5, false, /only once the element is dry.*counts as unproven/],
    [103, false, /only once the element is dry.*counts as unproven/],
    [106, false, /counts as unproven/],
  ])('opened at %s °C: passes %s, and says %s', async (celsius, passes, words) => {
    const step = STEPS.find((one) => one.name === 'cutOutStep');
    const seen = await step?.({ person: { cutOutC: async () => celsius } } as unknown as Parameters<Step>[0]);
    expect(seen?.outcome).toBe(passes ? 'passed' : 'failed');
    expect(seen?.seen).toMatch(words);
    expect(seen?.seen).toContain('expected 90 to 100');
    expect(partsRow('F3')).toContain('opens at 90 to 100 degC');
  });

  it('that opens above 100 °C takes the date of an earlier proof out of the configuration, one within its rating writes it', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'bath-cut-out-'));
    const config = join(folder, 'bathkeeper.json');
    writeFileSync(config, JSON.stringify({ safety: { cutOutProvenOn: '2026-01-02' } }));
    const tried = async (celsius: number) => {
      const step = STEPS.find((one) => one.name === 'cutOutStep')!;
      const done = await step({ person: { cutOutC: async () => celsius } } as unknown as Parameters<Step>[0]);
      const told = keepProofs(config, {
        at: '2026-11-25T10:00:00Z',
        by: 'Hut',
        rig: 'x',
        firmware: '0',
        steps: [done],
      });
      return { told: told.join(), kept: JSON.parse(readFileSync(config, 'utf8')).safety.cutOutProvenOn };
    };
    expect(await tried(103)).toEqual({ told: expect.stringMatching(/counts as unproven/), kept: null });
    expect(await tried(97)).toEqual({
      told: expect.stringMatching(/proven on 2026-11-25/),
      kept: '2026-11-25',
    });
    rmSync(folder, { recursive: true });
  });
});

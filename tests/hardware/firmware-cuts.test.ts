import { describe, expect, it } from 'vitest';
import { CYCLES_PER_MS } from '../../hardware/emulator/index.ts';
import { FirmwareRig, rom, romName } from './firmware-rig.ts';
import { BLOCK, CAUSE, CODE, type LimitsFields, make } from './firmware-wire.ts';

/** Flags of a probe message: PROTOCOL.md, section 2.2. */
const FLAG = { good: 1, badCrc: 2, badFixed: 4, silent: 8, powerOn: 16, bath: 32, mended: 64, shorted: 128 };

function heating(limits: Partial<LimitsFields> = {}): FirmwareRig {
  const rig = new FirmwareRig();
  rig.connect(limits);
  rig.heat(3);
  expect(rig.board.heaterClosed).toBe(true);
  return rig;
}

/** Both pins fell within 100 cycles of each other: at once, not one after the other. */
function expectBothAtOnce(rig: FirmwareRig, run: () => void): void {
  rig.board.switches.drain();
  run();
  const falls = rig.board.switches.drain().edges.filter((edge) => !edge.high);
  expect(falls.map((edge) => edge.switch).sort()).toEqual(['guard', 'regulating']);
  expect(Math.abs(falls[0]!.atCycles - falls[1]!.atCycles)).toBeLessThan(100);
}

const keepHeating = (rig: FirmwareRig, seconds: number): void => rig.heat(seconds);

describe('own over-temperature', () => {
  it('opens at the first reading above the limit and latches at the second, both switches at once', () => {
    const rig = heating({ maxRaw: 70 * 16 });
    rig.celsius = 71;
    expectBothAtOnce(rig, () => keepHeating(rig, 2));
    expect(rig.status.blocks & BLOCK.overTemperature).toBeTruthy();
    keepHeating(rig, 2);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.overTemperature, latchedDetail: 71 * 16 });
    expect(rig.board.sounding || rig.status.sounder === 3).toBe(true);
  });

  it('opens within 1.9 s of the water passing the limit', () => {
    const rig = heating({ maxRaw: 70 * 16 });
    for (let phase = 0; phase < 3; phase++) {
      rig.celsius = 60;
      keepHeating(rig, 4);
      rig.heat(1, {}, () => rig.advance(phase * 330));
      expect(rig.board.heaterClosed).toBe(true);
      rig.celsius = 71;
      expect(rig.msUntilOpen(2500)).toBeLessThan(1900);
      rig.celsius = 60;
      rig.advance(1500);
    }
  });

  it('counts a reading of exactly the limit as within it', () => {
    const rig = heating({ maxRaw: 70 * 16 });
    rig.celsius = 70;
    keepHeating(rig, 5);
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('latches without any lease in force: a heater that heats by itself must be known', () => {
    const rig = new FirmwareRig();
    rig.connect({ maxRaw: 70 * 16 });
    rig.celsius = 72;
    for (let i = 0; i < 4; i++) {
      rig.readBack();
      rig.advance(960);
    }
    expect(rig.latched('overTemperature')).toBe(true);
  });

  it('does not take the power-on value of 85 degC for a temperature', () => {
    const rig = heating({ maxRaw: 80 * 16 });
    // The probe loses its supply for a moment: until the next conversion it holds 85.
    rig.board.faults.unplugProbe(romName(rom(1)));
    rig.advance(20);
    rig.board.faults.plugProbe(romName(rom(1)));
    keepHeating(rig, 4);
    expect(rig.status.latchedCause).toBe(CAUSE.none);
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('flags a first reading of exactly 85.0 as suspected, and believes it from a probe that was near', () => {
    const rig = new FirmwareRig();
    rig.celsius = 85;
    rig.connect({ maxRaw: 90 * 16 });
    expect(rig.probes.at(-1)!.flags).toBe(FLAG.powerOn | FLAG.bath);
    expect(rig.status.blocks & BLOCK.probeStale).toBeTruthy();
    rig.celsius = 84;
    rig.advance(2000);
    rig.celsius = 85;
    rig.advance(2000);
    expect(rig.probes.at(-1)!.flags).toBe(FLAG.good | FLAG.bath);
    expect(rig.status.bathRaw).toBe(85 * 16);
  });
});

describe('a lost bath probe', () => {
  it.each([
    ['unplugged', 'probeSilent', (rig: FirmwareRig) => rig.board.faults.unplugProbe(romName(rom(1)))],
    [
      'with its wire shorted to ground',
      'probeSilent',
      (rig: FirmwareRig) => rig.board.faults.shortProbe('ground'),
    ],
    [
      'with its wire shorted to the supply',
      'probeSilent',
      (rig: FirmwareRig) => rig.board.faults.shortProbe('supply'),
    ],
    ['whose bits flip', 'probeFailing', (rig: FirmwareRig) => rig.board.faults.flipBits(0.2)],
  ] as const)('%s trips as %s within 3.52 s, both switches at once', (_, cause, breaks) => {
    for (const phase of [130, 810]) {
      const rig = heating({ silenceMs: 3500 });
      rig.heat(1, {}, () => rig.advance(phase));
      breaks(rig);
      expectBothAtOnce(rig, () => {
        const start = rig.nowMs;
        keepHeating(rig, 5);
        const open = rig.board.switches.state.circuit.find((edge) => !edge.closed)!;
        expect(open.atCycles / CYCLES_PER_MS - start).toBeLessThan(3520);
      });
      expect(rig.latched(cause)).toBe(true);
      expect(rig.status.latchedDetail).toBeGreaterThan(3500);
    }
  });

  it('of which one read alone failed never trips, even at the shortest silence allowed', () => {
    const rig = heating({ silenceMs: 2500 });
    rig.probes = [];
    for (let round = 0; round < 5; round++) {
      rig.heat(1);
      // From a little before the next read until after its last repetition.
      const sinceReadMs = rig.nowMs - rig.tickZeroMs - rig.probes.at(-1)!.uptimeMs;
      rig.advance((2000 - sinceReadMs - 40) % 1000);
      rig.board.faults.flipBits(0.3);
      rig.advance(120);
      rig.board.faults.flipBits(0);
      rig.heat(2);
    }
    expect(rig.probes.filter((probe) => probe.flags & FLAG.badCrc).length).toBe(5);
    expect(rig.status.latchedCause).toBe(CAUSE.none);
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('with a flipped bit now and then is read again within the same second', () => {
    const rig = heating();
    rig.probes = [];
    rig.heat(10, {}, () => rig.board.faults.flipBits(0, 1));
    rig.board.faults.flipBits(0);
    expect(rig.probes.every((probe) => probe.flags & FLAG.good)).toBe(true);
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('blocks a lease without latching while no heat is on', () => {
    const rig = new FirmwareRig();
    rig.connect();
    rig.board.faults.unplugProbe(romName(rom(1)));
    rig.advance(3000);
    rig.readBack();
    rig.advance(1500);
    expect(rig.lease()).toMatchObject({ code: CODE.condition, detail: BLOCK.probeStale });
    expect(rig.status.latchedCause).toBe(CAUSE.none);
    rig.board.faults.plugProbe(romName(rom(1)));
    rig.advance(2200);
    expect(rig.lease().code).toBe(CODE.ok);
  });

  it('that lost its resolution is set to 12 bit again', () => {
    const rig = heating();
    rig.probes = [];
    rig.board.probes.get(romName(rom(1)))!.state.registers.config = 0x1f;
    rig.heat(3);
    expect(rig.probes.some((probe) => probe.flags & FLAG.mended)).toBe(true);
    expect(rig.probes.at(-1)!.scratchpad[4]).toBe(0x7f);
  });
});

describe('the level switch', () => {
  it('trips when open for 1 s, both switches at once', () => {
    const rig = heating();
    rig.board.waterPresent = false;
    const start = rig.nowMs;
    expectBothAtOnce(rig, () => {
      rig.heat(2);
      const open = rig.board.switches.state.circuit.find((edge) => !edge.closed)!;
      expect(open.atCycles / CYCLES_PER_MS - start).toBeGreaterThan(990);
      expect(open.atCycles / CYCLES_PER_MS - start).toBeLessThan(1020);
    });
    expect(rig.latched('levelLow')).toBe(true);
  });

  it('does not trip on waves that close it again within the second', () => {
    const rig = heating();
    rig.heat(4, {}, () => {
      rig.board.waterPresent = false;
      rig.advance(900);
      rig.board.waterPresent = true;
      rig.advance(50);
    });
    expect(rig.status.latchedCause).toBe(CAUSE.none);
  });

  it('open at start or while idle only blocks, so that filling the box latches nothing', () => {
    const rig = new FirmwareRig();
    rig.board.waterPresent = false;
    rig.connect();
    expect(rig.lease()).toMatchObject({ code: CODE.condition, detail: BLOCK.levelLow });
    rig.board.waterPresent = true;
    rig.advance(1500);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.none, level: 3, blocks: 0 });
  });
});

describe('other own cuts', () => {
  it('trip when heat lasts longer than allowed, and stay blocked until it has been off for 10 s', () => {
    const rig = heating({ maxHeatS: 10 });
    keepHeating(rig, 12);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.heatTooLong, latchedDetail: 10 });
    expect(rig.clear()).toMatchObject({ code: CODE.condition, detail: BLOCK.heatTooLong });
  });

  it('do not count heat across a break of half a second', () => {
    const rig = heating({ maxHeatS: 10 });
    for (let round = 0; round < 4; round++) {
      keepHeating(rig, 7);
      rig.send(make.release());
      rig.advance(900);
    }
    expect(rig.status.latchedCause).toBe(CAUSE.none);
  });

  it('trip when five leases with a bad CRC arrive among good ones, and not for four', () => {
    const rig = heating();
    const spoilt = (): number[] => {
      const bytes = make.lease({ nonce: rig.status.nonce, session: rig.session });
      bytes[5]! ^= 1;
      return bytes;
    };
    rig.heat(4, {}, () => rig.send(spoilt()));
    expect(rig.status.latchedCause).toBe(CAUSE.none);
    rig.heat(1, {}, () => rig.send(spoilt()));
    expect(rig.latched('linkCorrupt')).toBe(true);
  });

  it('forget a bad CRC after 10 s each', () => {
    const rig = heating();
    for (let round = 0; round < 6; round++) {
      const bytes = make.lease({ nonce: rig.status.nonce, session: rig.session });
      bytes[5]! ^= 1;
      rig.send(bytes);
      rig.heat(11);
    }
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.none, badCrcCount: 6 });
  });

  it('trip on the message of a host that has tripped, without session or nonce, keeping its code', () => {
    const rig = heating();
    expectBothAtOnce(rig, () => {
      rig.send(make.trip(0xabcd));
      rig.advance(30);
    });
    rig.advance(300);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.host, latchedDetail: 0xabcd });
  });

  it('trip when a switch pin is high though commanded low, and open the other', () => {
    const rig = heating();
    rig.board.faults.tieSwitchPin('regulating');
    rig.heat(1);
    expect(rig.status.latchedCause).toBe(CAUSE.none); // commanded closed: nothing to see yet
    rig.send(make.release());
    rig.advance(500);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.switchStuck, latchedDetail: 1 });
    expect(rig.board.heaterClosed).toBe(false);
    expect(rig.clear()).toMatchObject({ code: CODE.condition, detail: BLOCK.switchStuck });
  });

  it.each(['regulating', 'guard'] as const)(
    'open the circuit by the other switch when %s is welded',
    (welded) => {
      const rig = heating();
      rig.board.faults.weldSwitch(welded);
      expect(rig.msUntilOpen(2100, false)).toBeLessThan(2000);
    },
  );

  it('keep their first cause whatever follows', () => {
    const rig = heating();
    rig.send(make.trip(7));
    rig.advance(100);
    rig.board.waterPresent = false;
    rig.board.faults.unplugProbe(romName(rom(1)));
    rig.celsius = 99;
    keepHeating(rig, 6);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.host, latchedDetail: 7 });
  });
});

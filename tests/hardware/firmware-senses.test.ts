import { describe, expect, it } from 'vitest';
import { FirmwareRig, rom, romName } from './firmware-rig.ts';
import { CAUSE, CODE, make } from './firmware-wire.ts';

/** Flags of a probe message: PROTOCOL.md, section 2.2. */
const FLAG = { good: 1, silent: 8, bath: 32 };

function heating(): FirmwareRig {
  const rig = new FirmwareRig();
  rig.connect();
  rig.heat(3);
  expect(rig.board.heaterClosed).toBe(true);
  return rig;
}

describe('the status', () => {
  it('comes four times a second, with a nonce and a moment of its own each time', () => {
    const rig = new FirmwareRig();
    rig.connect();
    rig.statuses = [];
    rig.advance(10_000);
    expect(rig.statuses.length).toBeGreaterThanOrEqual(39);
    const steps = rig.statuses.slice(1).map((status, i) => status.uptimeMs - rig.statuses[i]!.uptimeMs);
    for (const step of steps) {
      expect(step).toBeGreaterThanOrEqual(100);
      expect(step).toBeLessThanOrEqual(254);
    }
  });

  it('tells each change of lease, switch, latch and level within 125 ms, the line included', () => {
    const rig = new FirmwareRig();
    rig.connect();
    for (let phase = 0; phase < 5; phase++) {
      rig.advance(300 + phase * 53);
      const nonce = rig.status.nonce;
      rig.lease({ nonce }, 3 + 125);
      expect(rig.status).toMatchObject({ leaseSwitches: 3 });
      expect(rig.status.switches & 2).toBe(2);
      rig.advance(125);
      expect(rig.status.switches).toBe(0b1111);
      rig.send(make.release());
      rig.advance(2 + 125);
      expect(rig.status.switches & 5).toBe(0);
      rig.advance(225);
      expect(rig.status.switches).toBe(0);
    }
    rig.board.waterPresent = false;
    rig.advance(125);
    expect(rig.status.level).toBe(1);
    rig.advance(1000);
    expect(rig.status.level).toBe(0);
    rig.send(make.trip(1));
    rig.advance(2 + 125);
    expect(rig.status.latchedCause).toBe(CAUSE.host);
  });

  it('counts the lease down by the clock of its nonce', () => {
    const rig = new FirmwareRig();
    rig.connect();
    rig.advance(251);
    const { nonce, uptimeMs } = rig.status;
    rig.lease({ nonce, durationMs: 1500 });
    rig.statuses = [];
    rig.advance(1300);
    for (const status of rig.statuses.filter((each) => each.leaseSwitches === 3))
      expect(status.leaseLeftMs).toBeCloseTo(uptimeMs + 1500 - status.uptimeMs, -0.5);
    rig.advance(500);
    expect(rig.status).toMatchObject({ leaseSwitches: 0, leaseLeftMs: 0 });
  });

  it('tells the pins as they are, whatever was commanded', () => {
    const rig = new FirmwareRig();
    rig.connect();
    rig.board.faults.tieSwitchPin('guard');
    rig.advance(400);
    expect(rig.status.switches).toBe(0b1000);
  });
});

describe('the sounder', () => {
  const beeps = (rig: FirmwareRig, ms: number): number => {
    const start = rig.nowMs;
    rig.advance(ms);
    return rig.board.sounder.beeps(rig.board.chip.cycles).filter((beep) => beep.startMs >= start).length;
  };

  it('sounds the pattern the host asks for, as long as asked, and stops when told', () => {
    const rig = new FirmwareRig();
    rig.connect();
    expect(rig.ask((tag) => make.sounder(2, 9, tag)).code).toBe(CODE.ok);
    expect(beeps(rig, 12_000)).toBeGreaterThanOrEqual(4);
    // A piezo is loud near its resonance, 2 to 4 kHz (common practice, no source).
    expect(rig.board.sounder.beeps(rig.board.chip.cycles).at(-1)!.hz).toBeCloseTo(2900, -2);
    expect(beeps(rig, 5000)).toBe(0);
    rig.ask((tag) => make.sounder(3, 60, tag));
    rig.ask((tag) => make.sounder(0, 0, tag));
    expect(beeps(rig, 5000)).toBeLessThanOrEqual(1);
  });

  it.each([
    [4, 1],
    [1, 0],
    [1, 601],
    [255, 65_535],
  ])('refuses pattern %d for %d s', (pattern, seconds) => {
    const rig = new FirmwareRig();
    rig.connect();
    expect(rig.ask((tag) => make.sounder(pattern, seconds, tag)).code).toBe(CODE.badArgument);
  });

  it('sounds by itself on a trip, is hushed for a while, and sounds again', () => {
    const rig = heating();
    rig.send(make.trip(1));
    expect(beeps(rig, 5000)).toBeGreaterThanOrEqual(6);
    rig.send(make.sounder(0, 8));
    rig.advance(300);
    expect(beeps(rig, 6000)).toBe(0);
    expect(beeps(rig, 6000)).toBeGreaterThanOrEqual(6);
  });

  it('misses a host that fell silent while heating, and not one that said release', () => {
    const rig = heating();
    rig.advance(29_000);
    expect(rig.status.sounder).toBe(0);
    expect(beeps(rig, 20_000)).toBeGreaterThanOrEqual(2);
    rig.readBack();
    rig.advance(400);
    expect(rig.status.sounder).toBe(0);
    const polite = heating();
    polite.send(make.release());
    expect(beeps(polite, 40_000)).toBe(0);
  });
});

describe('several probes', () => {
  it('are found, told apart and read each second, and the bath probe is always told', () => {
    const codes = Array.from({ length: 8 }, (_, i) => rom(i + 1));
    const rig = new FirmwareRig({ probes: codes.map((code, i) => ({ rom: code, celsius: () => 20 + i })) });
    rig.connect({ rom: codes[4]! });
    rig.probes = [];
    rig.heat(5);
    for (const [i, code] of codes.entries()) {
      const told = rig.probes.filter((probe) => probe.rom.join() === code.join());
      expect(told.length).toBeGreaterThanOrEqual(4);
      expect(told.every((probe) => probe.flags === (i === 4 ? FLAG.good | FLAG.bath : FLAG.good))).toBe(true);
      expect(told[0]!.scratchpad[0]! + told[0]!.scratchpad[1]! * 256).toBe((20 + i) * 16);
    }
    expect(rig.status).toMatchObject({ probeCount: 8, bathRaw: 24 * 16 });
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('are never taken for each other, at whatever moment of a reading the bath probe is named', () => {
    const celsius = [20, 40, 60];
    const rig = new FirmwareRig({ probes: celsius.map((c, i) => ({ rom: rom(i + 1), celsius: () => c })) });
    rig.advance(4000);
    for (let step = 0; step < 60; step++) {
      const wanted = step % 3;
      // From 5 ms before the first read of a cycle to its end, in steps of less than a byte of the bus.
      const sinceReadMs = rig.nowMs - rig.tickZeroMs - rig.probes.at(-1)!.uptimeMs;
      rig.advance(1000 - (sinceReadMs % 1000) - 45 + step * 0.9);
      rig.statuses = [rig.status];
      rig.probes = [];
      rig.send(make.limits({ rom: rom(wanted + 1) }));
      rig.advance(2300);
      const told = new Set(rig.statuses.slice(1).map((status) => status.bathRaw));
      told.delete(-32_768);
      told.delete(rig.statuses[0]!.bathRaw);
      expect([...told].every((raw) => raw === celsius[wanted]! * 16)).toBe(true);
      for (const probe of rig.probes) {
        const which = [1, 2, 3].findIndex((n) => rom(n).join() === probe.rom.join());
        expect(probe.scratchpad[0]! + probe.scratchpad[1]! * 256).toBe(celsius[which]! * 16);
      }
      expect(rig.status.bathRaw).toBe(celsius[wanted]! * 16);
    }
  });

  it('may be added and taken away while the board runs', () => {
    const rig = new FirmwareRig({
      probes: [1, 2].map((n) => ({ rom: rom(n), celsius: () => 20 + n })),
    });
    rig.board.faults.unplugProbe(romName(rom(2)));
    rig.connect();
    expect(rig.status.probeCount).toBe(1);
    rig.board.faults.plugProbe(romName(rom(2)));
    rig.heat(7);
    expect(rig.status.probeCount).toBe(2);
    rig.board.faults.unplugProbe(romName(rom(2)));
    rig.heat(12);
    expect(rig.status.probeCount).toBe(1);
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('say so when there is none, once a conversion', () => {
    const rig = new FirmwareRig({ probes: [] });
    rig.advance(4000);
    expect(rig.probes.length).toBeGreaterThanOrEqual(3);
    expect(rig.probes.at(-1)).toMatchObject({ index: 255, count: 0, flags: FLAG.silent });
  });
});

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { BATH_PROBE_ROMS, BoardInBath, romHex, runFree } from '../../hardware/emulator/index.ts';
import { applyPlantEvent, hutSpec, newPlant, truth } from '../../shared/bath/plant.ts';
import { LeaseHost } from './campaign-host.ts';

const hex = readFileSync(new URL('../../hardware/firmware/image/two-switch.hex', import.meta.url), 'utf8');

function heating(startC: number): {
  rig: BoardInBath;
  host: LeaseHost;
  plant: ReturnType<typeof newPlant>;
  run: (s: number) => void;
} {
  const spec = hutSpec();
  const plant = newPlant(spec, 11, startC);
  const rig = new BoardInBath({ hex, spec, plant });
  const host = new LeaseHost(rig.board.link);
  rig.advanceTo(2000);
  host.connect({ bathRom: BATH_PROBE_ROMS.bath, maxCode: 80 * 16, maxHeatS: 21_600, silenceMs: 3500 });
  host.state.renewing = true;
  const run = (seconds: number): void => {
    for (let second = 0; second < seconds; second += 1) {
      host.tick();
      rig.advanceTo(rig.nowMs + 1000);
    }
  };
  run(3);
  return { rig, host, plant, run };
}

describe('board in a simulated bath', () => {
  it('reaches a moment that lies between two cycles of the clock, and never waits for one that is no number', async () => {
    const spec = hutSpec();
    const rig = new BoardInBath({ hex, spec, plant: newPlant(spec, 11, 40) });
    // A third of a millisecond is 5333.33 cycles at 16 MHz; the last moments lie half a cycle and less apart.
    for (const ms of [1 / 3, 2.000_02, 2.000_04, 2.000_05, 500.123_456_7]) {
      rig.advanceTo(ms);
      expect(Math.abs(rig.nowMs - ms)).toBeLessThan(1);
      expect(rig.board.reached(ms)).toBe(true);
    }
    rig.advanceTo(Number.NaN);
    await runFree(rig, 900.000_03);
    await runFree(rig, 900.000_033, 10);
    expect(rig.nowMs).toBeCloseTo(900, 0);
  });

  it('heats the water through both switches, and its probe reports the true temperature', () => {
    const { rig, host, plant, run } = heating(40);
    const before = truth(hutSpec(), plant).waterC;
    run(300);
    const after = truth(hutSpec(), plant).waterC;
    expect(after - before).toBeGreaterThan(1.5);
    // The bath counted the heat of exactly the time both switches conducted; the mains wander by a few per cent.
    const expectedJ = (hutSpec().elementWatts * rig.board.heaterClosedMs) / 1000;
    expect(plant.sums.elementJ / expectedJ).toBeGreaterThan(0.93);
    expect(plant.sums.elementJ / expectedJ).toBeLessThan(1.07);
    expect(Math.abs((host.state.status?.bathCode ?? 0) / 16 - after)).toBeLessThan(1);
    expect(rig.board.heaterClosed).toBe(true);
  });

  it('carries faults of the bath to the board, which then cuts by itself', () => {
    const { rig, host, plant, run } = heating(50);
    plant.probes.bath.fault = 'absent';
    run(6);
    expect(rig.board.bus.probes.has(romHex(BATH_PROBE_ROMS.bath))).toBe(false);
    expect(rig.board.heaterClosed).toBe(false);
    expect(host.state.status?.latchedCause).toBe(2);
    plant.probes.bath.fault = 'none';
    run(2);
    expect(rig.board.bus.probes.has(romHex(BATH_PROBE_ROMS.bath))).toBe(true);
  });

  it('opens its level switch when the water is gone, and a weld in the bath is a weld on the board', () => {
    const { rig, plant, run } = heating(50);
    applyPlantEvent(hutSpec(), plant, { type: 'switch', which: 'regulating', fault: 'welded' });
    plant.levelSwitch = 'stuck-dry';
    run(3);
    expect(rig.board.waterPresent).toBe(false);
    expect(rig.board.switches.closed('regulating')).toBe(true);
    expect(rig.board.heaterClosed).toBe(false);
  });
});

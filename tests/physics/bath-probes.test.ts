import { describe, expect, it } from 'vitest';
import { CENTRE } from '../../shared/bath/body.ts';
import {
  hutSpec,
  newPlant,
  type ProbeFault,
  readLevelSwitch,
  readProbe,
  stepPlant,
} from '../../shared/bath/plant.ts';
import { events, holding, idealSpec, runFor, shoulder } from './bath-rigs.ts';

describe('the simulated probes', () => {
  it('reads only whole digits of 0.0625 C, the step of a 12-bit one-wire sensor (DS18B20 data sheet)', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 2, 55);
    const seen = new Set<number>();
    for (let i = 0; i < 2000; i++) {
      stepPlant(spec, state, { heat: true, dtS: 1 });
      const { celsius } = readProbe(spec, state);
      expect((celsius! * 16) % 1).toBe(0);
      seen.add(celsius!);
    }
    expect(seen.size).toBeGreaterThan(100);
  });

  it('follows a step of the water with its time constant: 63.2 % after one, 95.0 % after three', () => {
    const spec = idealSpec();
    spec.probes = { ...spec.probes, bath: { ...spec.probes.bath, lagS: 20 } };
    const state = newPlant(spec, 1, 20);
    state.topC = 60;
    state.bottomC = 60;
    runFor(spec, state, 20);
    expect((readProbe(spec, state).celsius! - 20) / 40).toBeCloseTo(0.632, 2);
    runFor(spec, state, 40);
    expect((readProbe(spec, state).celsius! - 20) / 40).toBeCloseTo(0.95, 2);
  });

  it('scatters with the noise of its spec and reads high by its offset', () => {
    const spec = idealSpec();
    spec.probes = { ...spec.probes, bath: { ...spec.probes.bath, noiseSdC: 0.2, offsetC: 0.5 } };
    const state = newPlant(spec, 1, 50);
    let sum = 0;
    let squares = 0;
    for (let i = 0; i < 5000; i++) {
      stepPlant(spec, state, { heat: false, dtS: 1 });
      const deviation = readProbe(spec, state).celsius! - state.topC;
      sum += deviation;
      squares += deviation * deviation;
    }
    const mean = sum / 5000;
    expect(Math.abs(mean - 0.5)).toBeLessThan(0.02);
    expect(Math.abs(Math.sqrt(squares / 5000 - mean * mean) - 0.2)).toBeLessThan(0.01);
  });

  it('shows on the wire only what a reader could tell of a fault', () => {
    const shown: Record<ProbeFault, 'none' | 'absent' | 'short' | 'either'> = {
      none: 'none',
      absent: 'absent',
      short: 'short',
      intermittent: 'either',
      stuck: 'none',
      'power-on': 'none',
      noisy: 'none',
      jumping: 'none',
      offset: 'none',
      drift: 'none',
      'out-of-water': 'none',
    };
    for (const [fault, wire] of Object.entries(shown)) {
      const spec = hutSpec();
      const state = newPlant(spec, 1, 60);
      events(spec, state, { type: 'probe', fault: fault as ProbeFault });
      const faults = new Set<string>();
      for (let i = 0; i < 50; i++) {
        stepPlant(spec, state, { heat: false, dtS: 1 });
        const reading = readProbe(spec, state);
        expect(reading.celsius === null).toBe(reading.fault !== 'none');
        faults.add(reading.fault);
      }
      expect([...faults].sort()).toEqual(wire === 'either' ? ['absent', 'none'] : [wire]);
    }
  });

  it('holds the last value when stuck, reads 85 after a power dip, drifts by its rate, jumps by its size', () => {
    const spec = idealSpec();
    const state = newPlant(spec, 1, 60);
    runFor(spec, state, 10);
    events(
      spec,
      state,
      { type: 'probe', fault: 'stuck' },
      { type: 'probe', probe: 'second', fault: 'power-on' },
    );
    runFor(spec, state, 600, true);
    expect(readProbe(spec, state).celsius).toBeCloseTo(60, 1);
    expect(readProbe(spec, state, 'second').celsius).toBe(85);
    events(
      spec,
      state,
      { type: 'probe', fault: 'drift', size: 2 },
      { type: 'probe', probe: 'second', fault: 'none' },
    );
    runFor(spec, state, 3600);
    const { celsius: drifted } = readProbe(spec, state);
    expect(drifted! - readProbe(spec, state, 'second').celsius!).toBeCloseTo(2, 2);
    events(spec, state, { type: 'probe', fault: 'jumping', size: 6 });
    const steps = new Set<number>();
    for (let i = 0; i < 200; i++) {
      runFor(spec, state, 1);
      steps.add(Math.round(readProbe(spec, state).celsius! - readProbe(spec, state, 'second').celsius!));
    }
    expect([...steps].sort((a, b) => a - b)).toEqual([-6, 0, 6]);
  });

  it('feels the room when it hangs out of the water, lifted or left dry by a falling level', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1, 60);
    events(spec, state, { type: 'probe', fault: 'out-of-water' });
    runFor(spec, state, 900);
    expect(readProbe(spec, state).celsius!).toBeLessThan(25);
    events(spec, state, { type: 'probe', fault: 'none' }, { type: 'lid', on: false });
    runFor(spec, state, 120);
    expect(readProbe(spec, state).celsius!).toBeGreaterThan(55);
    events(spec, state, { type: 'leak', mlPerMin: 20_000 });
    runFor(spec, state, 45);
    events(spec, state, { type: 'leak', mlPerMin: 0 });
    runFor(spec, state, 900);
    expect(state.levelMm).toBeLessThan(spec.probes.bath.heightMm);
    expect(readProbe(spec, state).celsius!).toBeLessThan(25);
  });

  it('has a core probe that goes with its bag, at the depth it was pushed to', () => {
    const spec = idealSpec();
    const state = newPlant(spec, 1, 74);
    events(spec, state, shoulder('a', { startC: 10 }), { type: 'core-probe', bagId: 'a', depth: 0 });
    runFor(spec, state, 1800, holding(74));
    expect(readProbe(spec, state, 'core').celsius).toBeCloseTo(state.bags[0]!.profile[CENTRE]!, 6);
    events(spec, state, { type: 'core-probe', bagId: 'a', depth: 1 });
    runFor(spec, state, 5, holding(74));
    expect(readProbe(spec, state, 'core').celsius).toBeCloseTo(state.bags[0]!.profile[0]!, 6);
    expect(() => events(spec, state, { type: 'core-probe', bagId: 'b' })).toThrow(/no bag "b"/);
  });

  it('has a level switch that tells the level, or sticks, or is not there', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1, 60);
    expect(readLevelSwitch(spec, state)).toBe(true);
    events(spec, state, { type: 'leak', mlPerMin: 10_000 });
    runFor(spec, state, 70);
    expect(state.levelMm).toBeLessThan(spec.levelSwitchMm!);
    expect(readLevelSwitch(spec, state)).toBe(false);
    events(spec, state, { type: 'level-switch', fault: 'stuck-wet' });
    expect(readLevelSwitch(spec, state)).toBe(true);
    events(spec, state, { type: 'level-switch', fault: 'absent' });
    expect(readLevelSwitch(spec, state)).toBe(null);
    expect(readLevelSwitch({ ...spec, levelSwitchMm: null }, state)).toBe(null);
  });
});

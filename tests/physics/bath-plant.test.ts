import { describe, expect, it } from 'vitest';
import {
  applyPlantEvent,
  hutSpec,
  newPlant,
  type PlantEvent,
  type PlantState,
  readProbe,
  stepPlant,
  truth,
} from '../../shared/bath/plant.ts';
import { newRandom, pick, uniform, uniformBetween } from '../../shared/units/random.ts';
import { events, holding, idealSpec, runFor, shoulder } from './bath-rigs.ts';

/** An eventful hour, the same for everybody. */
function eventfulHour(state: PlantState, from = 0, to = 3600): void {
  const spec = hutSpec();
  const script: Record<number, PlantEvent[]> = {
    60: [shoulder('a', { airMl: 60 }), { type: 'core-probe', bagId: 'a', depth: 0 }],
    600: [{ type: 'lid', on: false }],
    900: [{ type: 'probe', fault: 'jumping' }, shoulder('b')],
    1500: [
      { type: 'lid', on: true },
      { type: 'pump', on: false },
      { type: 'bag-air', bagId: 'b', mlPerMin: 4 },
    ],
    2400: [
      { type: 'bag-out', bagId: 'a' },
      { type: 'probe', fault: 'intermittent' },
    ],
  };
  for (let second = from; second < to; second++) {
    for (const event of script[second] ?? []) applyPlantEvent(spec, state, event);
    stepPlant(spec, state, { heat: (readProbe(spec, state).celsius ?? 99) < 70, dtS: 1 });
  }
}

describe('the simulated bath as a machine', () => {
  it('gives identical bytes for identical spec, seed and inputs, and other noise for another seed', () => {
    const runs = [9, 9, 10].map((seed) => {
      const state = newPlant(hutSpec(), seed, 60);
      eventfulHour(state);
      return JSON.stringify(state);
    });
    expect(runs[0]).toBe(runs[1]);
    expect(runs[0]).not.toBe(runs[2]);
  });

  it('goes on to identical bytes from JSON written in mid-run', () => {
    const whole = newPlant(hutSpec(), 9, 60);
    eventfulHour(whole);
    const half = newPlant(hutSpec(), 9, 60);
    eventfulHour(half, 0, 1800);
    const resumed: PlantState = JSON.parse(JSON.stringify(half));
    eventfulHour(resumed, 1800);
    expect(JSON.stringify(resumed)).toBe(JSON.stringify(whole));
  });

  it('stays finite and bounded whatever is thrown at it, and keeps its state when it refuses', () => {
    const random = newRandom(23);
    const any = () => [0, 1, -5, 1e9, Number.NaN, 40, 0.3][pick(random, 7)]!;
    for (let trial = 0; trial < 40; trial++) {
      const spec = hutSpec();
      const state = newPlant(spec, trial, uniformBetween(random, 0, 100));
      for (let i = 0; i < 300; i++) {
        const wild: PlantEvent[] = [
          { type: 'lid', on: uniform(random) < 0.5 },
          { type: 'pump', on: uniform(random) < 0.5 },
          { type: 'leak', mlPerMin: any() },
          { type: 'top-up', litres: any(), celsius: any() },
          { type: 'ambient', celsius: any() },
          { type: 'draught', airSpeedMS: any() },
          { type: 'element', condition: uniform(random) < 0.7 ? 'ok' : 'scaled', powerShare: any() },
          shoulder(`b${i % 5}`, { massKg: any(), airMl: any(), startC: any(), ballastKg: any() }),
          { type: 'bag-out', bagId: `b${i % 5}` },
          { type: 'bag-air', bagId: `b${i % 5}`, addMl: any(), mlPerMin: any() },
          { type: 'probe', fault: 'drift', size: any() },
        ];
        const before = JSON.stringify(state);
        try {
          applyPlantEvent(spec, state, wild[pick(random, wild.length)]!);
        } catch (error) {
          expect(error).toBeInstanceOf(RangeError);
          expect(JSON.stringify(state)).toBe(before);
        }
        stepPlant(spec, state, { heat: true, dtS: [0.05, 1, 5, 30, 120][pick(random, 5)]! });
        const { topC, bottomC, wallC, elementC, levelMm, waterKg } = state;
        for (const celsius of [topC, bottomC, wallC]) {
          expect(celsius).toBeGreaterThan(-41);
          expect(celsius).toBeLessThan(101);
        }
        expect(elementC).toBeLessThan(1500);
        expect(levelMm).toBeGreaterThan(0);
        expect(levelMm).toBeLessThanOrEqual(spec.brimMm);
        expect(waterKg).toBeGreaterThan(0.1);
        for (const bag of truth(spec, state).bags) {
          expect(bag.coldestC).toBeGreaterThan(-41);
          expect(bag.hottestC).toBeLessThan(121);
        }
      }
    }
  });

  it('refuses a step that is no time and a rig that cannot be, and names every fault of the rig', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1);
    expect(() => stepPlant(spec, state, { heat: true, dtS: -1 })).toThrow(/expected seconds/);
    expect(() => stepPlant(spec, state, { heat: true, dtS: Number.NaN })).toThrow(RangeError);
    expect(() => newPlant({ ...spec, litres: 60, deadTimeS: -1 }, 1)).toThrow(/deadTimeS[\s\S]*to the brim/);
    expect(() => newPlant(spec, 1, 140)).toThrow(/startC is 140/);
    expect(() => applyPlantEvent(spec, state, { type: 'bag-out', bagId: 'x' })).toThrow(/no bag "x"/);
    expect(() => applyPlantEvent(spec, state, shoulder('a', { startC: -12 }))).toThrow(RangeError);
    expect(state.bags).toEqual([]);
  });

  it('never hands out a temperature without a probe behind it, and heats only with the whole circuit closed', () => {
    const spec = idealSpec();
    const cases: [PlantEvent | null, boolean, boolean, boolean][] = [
      [null, true, true, true],
      [null, true, false, false],
      [null, false, true, false],
      [{ type: 'switch', which: 'regulating', fault: 'welded' }, false, false, false],
      [{ type: 'switch', which: 'regulating', fault: 'welded' }, false, true, true],
      [{ type: 'switch', which: 'guard', fault: 'welded' }, false, false, false],
      [{ type: 'switch', which: 'guard', fault: 'open' }, true, true, false],
      [{ type: 'mains', on: false }, true, true, false],
      [{ type: 'element', condition: 'dead' }, true, true, false],
    ];
    for (const [event, heat, guard, heats] of cases) {
      const state = newPlant(spec, 1, 20);
      if (event) applyPlantEvent(spec, state, event);
      for (let i = 0; i < 60; i++) stepPlant(spec, state, { heat, guard, dtS: 1 });
      expect(truth(spec, state).heating).toBe(heats);
      expect(truth(spec, state).waterC > 20.1).toBe(heats);
    }
  });
});

describe('what goes on in the simulated water', () => {
  it('lags: the water moves first after the dead time, the element at once', () => {
    const spec = { ...hutSpec(), mainsSdVolts: 0 };
    const state = newPlant(spec, 1);
    runFor(spec, state, 4, true);
    expect(state.elementC).toBeGreaterThan(spec.ambientC + 4);
    const early = truth(spec, state).waterC - spec.ambientC;
    runFor(spec, state, 56, true);
    const late = truth(spec, state).waterC - spec.ambientC;
    expect(early).toBeLessThan(0.005);
    expect(late).toBeGreaterThan(0.3);
  });

  it('evens out top and bottom with the pump, and lets them part without it', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1, 40);
    events(spec, state, shoulder('a'), shoulder('b'));
    runFor(spec, state, 1200, true);
    expect(Math.abs(state.topC - state.bottomC)).toBeLessThan(0.3);
    events(spec, state, { type: 'pump', on: false });
    runFor(spec, state, 1200, true);
    expect(state.topC - state.bottomC).toBeGreaterThan(2);
  });

  it('uncovers the element as the level falls, whose heat then runs away until something bounds it', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1, 60);
    events(spec, state, { type: 'leak', mlPerMin: 1500 });
    let shownAtS = 0;
    for (let second = 1; second <= 1500; second++) {
      runFor(spec, state, 1, true);
      if (shownAtS === 0 && truth(spec, state).elementUncovered) shownAtS = second;
    }
    // 21 L less 9 L at 1.5 L/min.
    expect(shownAtS / 60).toBeCloseTo(12 / 1.5, 0);
    const { elementC, uncoveredS, worstUncoveredS } = truth(spec, state);
    expect(uncoveredS).toBe(1500 - shownAtS + 1);
    expect(worstUncoveredS).toBe(uncoveredS);
    expect(elementC).toBeGreaterThan(350);
    events(spec, state, { type: 'leak', mlPerMin: 0 }, { type: 'top-up', litres: 15, celsius: 20 });
    runFor(spec, state, 120);
    expect(truth(spec, state).elementUncovered).toBe(false);
    expect(truth(spec, state).uncoveredS).toBe(0);
    expect(truth(spec, state).worstUncoveredS).toBe(worstUncoveredS);
    expect(truth(spec, state).elementC).toBeLessThan(60);
  });

  it('opens the independent cut-out at its temperature and keeps it open until somebody resets it', () => {
    const spec = idealSpec({ cutOutC: 80 });
    const state = newPlant(spec, 1, 79);
    runFor(spec, state, 600, true);
    expect(state.cutOutTripped).toBe(true);
    expect(truth(spec, state).waterC).toBeLessThan(80.1);
    events(spec, state, { type: 'top-up', litres: 5, celsius: 20 });
    runFor(spec, state, 60, true);
    expect(truth(spec, state).heating).toBe(false);
    events(spec, state, { type: 'cut-out-reset' });
    runFor(spec, state, 60, true);
    expect(truth(spec, state).heating).toBe(true);
  });
});

describe('bags in the simulated bath', () => {
  it('floats a bag with air as it warms, sinks it again with ballast, and raises the level by what it displaces', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1, 74);
    const bare = state.levelMm;
    // 40 mL a kilogram: down when cold; at 1900 m the pocket grows 2.3 times by 74 C.
    events(spec, state, shoulder('a', { airMl: 80, densityKgM3: 1050 }));
    runFor(spec, state, 2);
    expect(truth(spec, state).bags[0]!.afloat).toBe(false);
    // 2 kg / 1.05 kg/L = 1.905 L, 0.015 L of film and the air, on 0.1 m2.
    expect(state.levelMm - bare).toBeCloseTo(20.4, 0);
    runFor(spec, state, 7200, holding(74));
    const afloat = truth(spec, state).bags[0]!;
    expect(afloat.afloat).toBe(true);
    expect(afloat.submergedFraction).toBeGreaterThan(0.9);
    expect(afloat.submergedFraction).toBeLessThan(1);
    expect(afloat.coldestC).toBeLessThan(afloat.coreC - 1);
    events(spec, state, { type: 'ballast', bagId: 'a', kg: 0.4 });
    runFor(spec, state, 2);
    expect(truth(spec, state).bags[0]!.afloat).toBe(false);
  });

  it('makes gas as a spoiling bag does, and lets it out of one with a leak', () => {
    const spec = hutSpec();
    const state = newPlant(spec, 1, 60);
    events(spec, state, shoulder('a'), { type: 'bag-air', bagId: 'a', mlPerMin: 5 });
    runFor(spec, state, 3600, holding(60));
    expect(truth(spec, state).bags[0]!.gasMl).toBeGreaterThan(300);
    expect(truth(spec, state).bags[0]!.afloat).toBe(true);
    events(spec, state, { type: 'bag-air', bagId: 'a', mlPerMin: -100 });
    runFor(spec, state, 600, holding(60));
    expect(truth(spec, state).bags[0]!.gasMl).toBe(0);
    expect(truth(spec, state).bags[0]!.afloat).toBe(false);
  });
});

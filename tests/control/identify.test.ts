import { describe, expect, it } from 'vitest';
import { rigFigures } from '../../controller/tick/control/identify/figures.ts';
import { correct, predict, startBelief, surprise } from '../../controller/tick/control/identify/kalman.ts';
import { dateRig, observeRig } from '../../controller/tick/control/identify/observe.ts';
import { restingPath, spreadS, stepPath } from '../../controller/tick/control/identify/path.ts';
import { DELAY, describedRig, RATE } from '../../controller/tick/control/identify/rig.ts';
import { newRandom, normal } from '../../shared/units/random.ts';
import { drawScene } from '../faults/scene.ts';
import { World } from '../faults/world.ts';
import { rigTruth } from './rig-truth.ts';

describe('the filter', () => {
  it('settles at the known variance of a random walk seen through noise: (q + sqrt(q^2 + 4 q r)) / 2', () => {
    // Steady state of the local level model (Harvey, Forecasting, Structural Time Series Models, 1989, ch. 3; from memory).
    for (const [q, r] of [
      [1, 1],
      [0.01, 4],
      [2, 0.5],
    ] as const) {
      let belief = startBelief([0], [10]);
      let ahead = 0;
      for (let i = 0; i < 3000; i++) {
        const expected = predict(belief, 0, [1], 1, [q]);
        ahead = surprise(expected, 0, r).sd ** 2 - r;
        belief = correct(expected, 0, r);
      }
      expect(ahead).toBeCloseTo((q + Math.sqrt(q * q + 4 * q * r)) / 2, 6);
    }
  });

  it('weighs one measurement of a sum as Bayes does: two equal priors share the surprise', () => {
    const expected = predict(startBelief([0, 3], [2, 2]), 3, [1, 1], 1, [0, 0]);
    const after = correct(expected, 11, 8);
    // Prior variance 4 + 4, noise 8: half of the surprise of 8 is believed, and each quantity takes half of that.
    expect(after.mean[0]).toBeCloseTo(7, 9);
    expect(after.mean[1]).toBeCloseTo(5, 9);
  });
});

describe('the way of the heat', () => {
  it('has the mean and the spread of an exponential and of an Erlang delay of four stages', () => {
    // Mean m, variance m^2 of the exponential and m^2/n of the Erlang distribution (any handbook of probability).
    for (const meanS of [20, 60, 120]) {
      for (const narrowShare of [0, 0.4, 1]) {
        let path = restingPath(meanS);
        let sum = 0;
        let first = 0;
        let second = 0;
        for (let i = 0; i < 3000; i++) {
          path = stepPath(path, i === 0 ? 1 : 0, 1);
          const share = path.broad + narrowShare * (path.narrow[3] - path.broad);
          sum += share;
          first += share * i;
          second += share * i * i;
        }
        const mean = first / sum;
        expect(Math.abs(mean - meanS)).toBeLessThan(2.5);
        const spread = Math.sqrt(second / sum - mean * mean);
        expect(Math.abs(spread / spreadS(meanS, narrowShare) - 1)).toBeLessThan(0.05);
      }
    }
  });

  it('knows how it changes with the delay: the difference quotient', () => {
    const run = (meanS: number) => {
      let path = restingPath(meanS);
      for (let i = 0; i < 90; i++) path = stepPath(path, i < 40 ? 1 : 0, 1);
      return path;
    };
    const [low, middle, high] = [run(59.99), run(60), run(60.01)];
    expect(middle.broadPerS).toBeCloseTo((high.broad - low.broad) / 0.02, 6);
    expect(middle.narrowPerS[3]).toBeCloseTo((high.narrow[3] - low.narrow[3]) / 0.02, 6);
  });
});

describe('identification against a closed form', () => {
  // First-order lag in front of a leaky integrator: dx/dt = (u - x)/tau, dT/dt = p x - k (T - Ta), u = 1 from t = 0.
  // T - Ta = p [ (1 - e^-kt)/k - (e^-kt - e^-t/tau) / (1/tau - k) ], the textbook solution by partial fractions.
  const p = 0.011;
  const k = 9e-6;
  const tau = 45;
  const roomC = 20;
  const closedForm = (t: number) =>
    roomC + p * ((1 - Math.exp(-k * t)) / k - (Math.exp(-k * t) - Math.exp(-t / tau)) / (1 / tau - k));

  it('finds rate and delay from a heat-up of half an hour, within what it states', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const random = newRandom(seed);
      let rig = describedRig({ litres: 21 * (0.8 + 0.05 * seed), elementWatts: 1000 });
      for (let t = 0; t <= 2400; t++) {
        const celsius = (t < 120 ? roomC : closedForm(t - 120)) + 0.03 * normal(random);
        const heat = t > 120 ? 1 : 0;
        rig = observeRig(rig, { celsius, heat, dtS: 1, clockS: t, roomC, foodCPerS: 0, teach: true });
        rig = dateRig(rig, t);
      }
      expect(rig.identifiedAtMs).not.toBeNull();
      const n = rig.belief.mean.length;
      const rate = rig.belief.mean[RATE]!;
      expect(Math.abs(rate / p - 1), `seed ${seed}`).toBeLessThan(0.03);
      expect(Math.abs(rate - p)).toBeLessThan(2.6 * Math.sqrt(rig.belief.cov[RATE * n + RATE]!));
      expect(Math.abs(rig.belief.mean[DELAY]! - tau)).toBeLessThan(6);
    }
  });
});

describe('identification of drawn rigs', () => {
  it('states intervals that hold the truth of the plant in at least 95 % of seeds, for every figure', () => {
    const seeds = 80;
    const inside = {
      watts: 0,
      heatJK: 0,
      rate: 0,
      lossLidOn: 0,
      lossLidOff: 0,
      delay: 0,
      deadTime: 0,
      lag: 0,
    };
    const within = (figure: { low: number; high: number }, value: number) =>
      figure.low <= value && value <= figure.high ? 1 : 0;
    for (let seed = 1; seed <= seeds; seed++) {
      const scene = drawScene(7000 + seed, seed % 2 === 0 ? 'full' : 'simple');
      const world = new World(scene, scene.setpointC - 16, seed);
      world.startCook();
      while (world.atS < 2.5 * 3600) world.step();
      const { rig, settings, watch } = world.state;
      const atC = watch.balance.now!.waterC;
      const told = rigFigures(rig, settings, atC, watch.roomC);
      expect(told.identified, `seed ${seed}`).toBe(true);
      const real = rigTruth(scene.spec, world.plant.waterLitres, atC);
      inside.watts += within(told.watts, real.watts);
      inside.heatJK += within(told.heatJK, real.heatJK);
      inside.rate += within(told.rateCPerS, real.watts / real.heatJK);
      inside.lossLidOn += within(told.lossLidOnW, real.lossLidOnW);
      inside.lossLidOff += within(told.lossLidOffW, real.lossLidOffW);
      inside.delay += within(told.delayS, real.delayS);
      inside.deadTime += within(told.deadTimeS, real.delayS - Math.min(real.delayS, real.spreadS));
      inside.lag += within(told.lagS, real.spreadS);
    }
    for (const [figure, count] of Object.entries(inside)) {
      expect(count / seeds, figure).toBeGreaterThanOrEqual(0.95);
    }
  });
});

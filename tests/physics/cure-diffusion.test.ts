import { describe, expect, it } from 'vitest';
import { depthVerdict } from '../../shared/cure/depth.ts';
import { diffusionM2, penetrationMm, saltDiffusivity } from '../../shared/cure/diffusivity.ts';
import { erfc } from '../../shared/cure/erf.ts';
import {
  packedMeanRatio,
  packedSaltRatio,
  rinsedSaltRatio,
  weighedSaltRatio,
} from '../../shared/cure/profile.ts';

const H = 3600;

describe('the complementary error function', () => {
  // Abramowitz & Stegun, Handbook of Mathematical Functions, table 7.1 (erf to ten places; from memory).
  it.each([
    [0.1, 0.112462916],
    [0.5, 0.5204998778],
    [1, 0.8427007929],
    [1.5, 0.9661051465],
    [2, 0.995322265],
  ])('of %d is that of the table', (x, erf) => {
    expect(1 - erfc(x)).toBeCloseTo(erf, 9);
    expect(erfc(-x)).toBeCloseTo(1 + erf, 9);
  });

  it('goes on to small values without loss (erfc(3) = 2.209e-5, erfc(5) = 1.537e-12)', () => {
    expect(erfc(3) / 2.2090497e-5).toBeCloseTo(1, 7);
    expect(erfc(5) / 1.5374597944e-12).toBeCloseTo(1, 7);
    expect(erfc(2.4999999) / erfc(2.5000001)).toBeCloseTo(1, 5);
  });
});

describe('salt on its way through meat', () => {
  // sqrt(4 D t) at 4 C with D = 2.13e-10 m2/s, computed from the diffusivity near 5 C of pork (Wood 1966, from memory).
  it.each([
    [4, 3.5],
    [8, 4.9],
    [12, 6.1],
    [24, 8.6],
    [48, 12.1],
    [72, 14.8],
  ])('has gone the worked depth after %d h at 4 C', (hours, mm) => {
    expect(penetrationMm(diffusionM2([{ seconds: hours * H, celsius: 4 }]))).toBeCloseTo(mm, 0);
  });

  it('has the worked diffusivity in a hot bath: near 1.5e-9 m2/s at 75 C', () => {
    expect(saltDiffusivity(75) / 1.5e-9).toBeCloseTo(1, 1);
    expect(() => saltDiffusivity(-5)).toThrow(/frozen/);
  });

  // Centre over mean of a slab salted on both faces, nothing rinsed off, after 12 h at 4 C (worked series).
  it.each([
    [20, 0.245],
    [30, 0.01],
    [40, 0],
    [60, 0],
  ])('has the worked share in the centre of %d mm after an overnight cure', (mm, ratio) => {
    const verdict = depthVerdict(mm, 'equilibrium', { seconds: 12 * H, celsius: 4 }, null);
    expect(verdict.centreAfterFridgeRatio).toBeCloseTo(ratio, 2);
  });

  // The same and then 10 h at 75 C.
  it.each([
    [20, 0.996],
    [30, 0.87],
    [40, 0.58],
    [60, 0.12],
    [80, 0.01],
  ])('has the worked share in the centre of %d mm after the bath', (mm, ratio) => {
    const bath = { seconds: 10 * H, celsius: 75 };
    const verdict = depthVerdict(mm, 'equilibrium', { seconds: 12 * H, celsius: 4 }, bath);
    expect(Math.abs(verdict.centreAfterBathRatio! - ratio)).toBeLessThan(0.012);
  });

  it('says when overnight is too short, and from what thickness (common practice, no source: fine to about 40 mm, over 60 mm two to four days)', () => {
    const night = { seconds: 12 * H, celsius: 4 };
    const bath = { seconds: 10 * H, celsius: 75 };
    expect(depthVerdict(40, 'equilibrium', night, bath).enough).toBe(true);
    const thick = depthVerdict(60, 'equilibrium', night, bath);
    expect(thick.enough).toBe(false);
    expect(thick.words).toMatch(/12 h is too short for 60 mm/);
    const neededDays = thick.neededFridgeS / 86_400;
    expect(neededDays).toBeGreaterThan(2);
    expect(neededDays).toBeLessThan(5);
    const later = depthVerdict(60, 'equilibrium', { seconds: thick.neededFridgeS, celsius: 4 }, bath);
    expect(later.centreAfterBathRatio).toBeCloseTo(0.5, 3);
  });

  it('seasons the outer few millimetres overnight and evens out in the bath (common practice, no source)', () => {
    const depth = penetrationMm(diffusionM2([{ seconds: 10 * H, celsius: 4 }]));
    expect(depth).toBeGreaterThan(3);
    expect(depth).toBeLessThan(10);
    const bath = { seconds: 10 * H, celsius: 74 };
    const verdict = depthVerdict(30, 'equilibrium', { seconds: 10 * H, celsius: 4 }, bath);
    expect(verdict.centreAfterFridgeRatio).toBeLessThan(0.05);
    expect(verdict.centreAfterBathRatio).toBeGreaterThan(0.8);
  });
});

describe('closed solutions', () => {
  // Half space with a face held at one concentration: c = erfc(x / sqrt(4 D t)) (Crank, from memory).
  it.each([0.0005, 0.002, 0.01])(
    'of a packed face is the error function while the centre is untouched, Fo %d',
    (fourier) => {
      for (const x of [0, 0.02, 0.05, 0.1, 0.3]) {
        expect(packedSaltRatio(x, fourier)).toBeCloseTo(erfc(x / (2 * Math.sqrt(fourier))), 10);
      }
      expect(packedMeanRatio(fourier)).toBeCloseTo(2 * Math.sqrt(fourier / Math.PI), 10);
    },
  );

  it('join where one form gives way to the other', () => {
    for (const x of [0, 0.2, 0.5, 0.9, 1]) {
      for (const ratio of [weighedSaltRatio, packedSaltRatio]) {
        expect(ratio(x, 0.1 - 1e-12)).toBeCloseTo(ratio(x, 0.1), 9);
      }
    }
    expect(packedMeanRatio(0.1 - 1e-12)).toBeCloseTo(packedMeanRatio(0.1), 9);
  });

  it('agree with a finite-difference slab: packed, rinsed off, left to even out', () => {
    const n = 400;
    const dx = 1 / n;
    const dt = 0.4 * dx * dx;
    let c = new Array<number>(n + 1).fill(0);
    const step = (packed: boolean) => {
      const next = c.slice();
      for (let i = 1; i < n; i++) next[i] = c[i]! + (dt / dx ** 2) * (c[i - 1]! - 2 * c[i]! + c[i + 1]!);
      next[n] = c[n]! + ((2 * dt) / dx ** 2) * (c[n - 1]! - c[n]!);
      next[0] = packed ? 1 : c[0]! + ((2 * dt) / dx ** 2) * (c[1]! - c[0]!);
      c = next;
    };
    const packedSteps = Math.round(0.03 / dt);
    for (let k = 0; k < packedSteps; k++) step(true);
    for (let i = 0; i <= n; i += 40) {
      expect(Math.abs(c[i]! - packedSaltRatio(i / n, packedSteps * dt))).toBeLessThan(0.004);
    }
    const restSteps = Math.round(0.08 / dt);
    for (let k = 0; k < restSteps; k++) step(false);
    for (let i = 0; i <= n; i += 40) {
      const exact = rinsedSaltRatio(i / n, packedSteps * dt, restSteps * dt);
      expect(Math.abs(c[i]! - exact)).toBeLessThan(0.003);
    }
  });

  it('keep the salt: the mean over the thickness stays what went in', () => {
    const points = 2000;
    const meanOf = (ratio: (x: number) => number) => {
      let sum = 0;
      for (let i = 0; i < points; i++) sum += ratio((i + 0.5) / points) / points;
      return sum;
    };
    for (const fourier of [0.001, 0.02, 0.15, 1]) {
      expect(meanOf((x) => weighedSaltRatio(x, fourier))).toBeCloseTo(1, 6);
      expect(meanOf((x) => packedSaltRatio(x, fourier))).toBeCloseTo(packedMeanRatio(fourier), 4);
      expect(meanOf((x) => rinsedSaltRatio(x, 0.02, fourier))).toBeCloseTo(packedMeanRatio(0.02), 4);
    }
  });

  it('even out in the end and refuse places that are none', () => {
    expect(weighedSaltRatio(1, 3)).toBeCloseTo(1, 10);
    expect(packedSaltRatio(1, 3)).toBeCloseTo(1, 2);
    expect(weighedSaltRatio(1, 0)).toBe(0);
    expect(() => weighedSaltRatio(1.2, 0.1)).toThrow(RangeError);
    expect(() => packedSaltRatio(0.5, -1)).toThrow(RangeError);
  });
});

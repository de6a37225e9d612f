import { describe, expect, it } from 'vitest';
import { bodyAtDepth, bodyMeanC, CENTRE, makeBody, startBody, stepBody } from '../../shared/bath/body.ts';
import { coreC, makeGrid, meanC, startProfile, stepProfile } from '../../shared/food/conduction.ts';

const meat = { diffusivity: 1.3e-7, conductivity: 0.48 };

// One-term coefficients of Incropera and DeWitt, "Fundamentals of Heat and Mass Transfer", table of the
// approximate series solutions: beta, Bi, zeta1, C1. (T - Tbath)/(T0 - Tbath) = C1 exp(-zeta1^2 Fo) at the centre.
const ONE_TERM = [
  [0, 1, 0.8603, 1.1191],
  [0, 5, 1.3138, 1.2402],
  [0, 20, 1.4961, 1.2699],
  [0, 100, 1.5552, 1.2731],
  [1, 1, 1.2558, 1.2071],
  [1, 5, 1.9898, 1.5029],
  [1, 20, 2.288, 1.5919],
  [1, 100, 2.3809, 1.6015],
  [2, 1, 1.5708, 1.2732],
  [2, 5, 2.5704, 1.787],
  [2, 20, 2.9857, 1.9781],
  [2, 100, 3.1102, 1.999],
] as const;

describe('conduction in the simulated food', () => {
  it.each(ONE_TERM)(
    'follows the series at beta %d, Bi %d within 0.1 C of a 70 C step',
    (beta, bi, zeta, c1) => {
      const thicknessM = 0.06;
      const film = (bi * meat.conductivity) / 0.03;
      const grid = makeBody({ thicknessM, beta, ...meat });
      const profile = startBody(5);
      for (let second = 1; second <= 4 * 3600; second++) {
        stepBody(grid, profile, film, 75, film, 75, 1);
        const fourier = (meat.diffusivity * second) / 0.03 ** 2;
        // One term is enough from Fo 0.3 on (the second is then under 0.1 C).
        if (fourier < 0.35 || second % 600 !== 0) continue;
        const expected = 75 - 70 * c1 * Math.exp(-zeta * zeta * fourier);
        expect(Math.abs(profile[CENTRE]! - expected)).toBeLessThan(0.1);
      }
    },
  );

  it('warms a slab from one side only as a slab of twice the thickness from both', () => {
    // Insulated back = mirror. Half thickness 0.04 m, Bi = 240 * 0.04 / 0.48 = 20: zeta1 1.4961, C1 1.2699.
    const grid = makeBody({ thicknessM: 0.04, beta: 0, ...meat });
    const profile = startBody(5);
    for (let second = 1; second <= 4 * 3600; second++) {
      stepBody(grid, profile, 240, 75, 0, 0, 1);
      if (second < 3600 || second % 600 !== 0) continue;
      const fourier = (meat.diffusivity * second) / 0.04 ** 2;
      const expected = 75 - 70 * 1.2699 * Math.exp(-(1.4961 ** 2) * fourier);
      // 0.08 C of the second term at the earliest time, and the table's four figures.
      expect(Math.abs(profile.at(-1)! - expected)).toBeLessThan(0.15);
    }
  });

  it('settles between two surroundings on the straight line through both films (steady conduction)', () => {
    const grid = makeBody({ thicknessM: 0.05, beta: 0, ...meat });
    const profile = startBody(5);
    for (let i = 0; i < 200; i++) stepBody(grid, profile, 100, 80, 20, 20, 3600);
    const flux = 60 / (1 / 100 + 0.05 / 0.48 + 1 / 20);
    expect(profile[0]).toBeCloseTo(80 - flux / 100, 6);
    expect(profile.at(-1)).toBeCloseTo(20 + flux / 20, 6);
    expect(profile[CENTRE]).toBeCloseTo((profile[0]! + profile.at(-1)!) / 2, 6);
  });

  it('agrees with the solver that estimates cores, which works by another method, within 0.15 C', () => {
    for (const beta of [0, 0.6, 1.4]) {
      const figures = { thicknessM: 0.07, beta, ...meat };
      const grid = makeBody(figures);
      const profile = startBody(4);
      const other = makeGrid(figures);
      let theirs: number[] = startProfile(other, 4);
      for (let second = 0; second < 3 * 3600; second++) {
        const bath = 74 - (second > 3600 ? 8 : 0);
        stepBody(grid, profile, 250, bath, 250, bath, 1);
        theirs = stepProfile(other, theirs, { film: 250, fromC: bath, toC: bath }, 1);
        if (second < 600) continue;
        expect(Math.abs(profile[CENTRE]! - coreC(theirs))).toBeLessThan(0.15);
        expect(Math.abs(bodyMeanC(grid, profile) - meanC(other, theirs))).toBeLessThan(0.15);
      }
    }
  });

  it('keeps its heat when nothing is exchanged, and stays within its surroundings at any step', () => {
    const grid = makeBody({ thicknessM: 0.05, beta: 0.6, ...meat });
    const profile = startBody(5).map((_, i) => 5 + i);
    const mean = bodyMeanC(grid, profile);
    for (const dtS of [1, 100, 1e6]) {
      stepBody(grid, profile, 0, 90, 0, 90, dtS);
      expect(bodyMeanC(grid, profile)).toBeCloseTo(mean, 9);
    }
    for (const dtS of [0.01, 1, 1e4, 1e9]) {
      stepBody(grid, profile, 1e5, 90, 3, -40, dtS);
      for (const celsius of profile) {
        expect(celsius).toBeLessThanOrEqual(90);
        expect(celsius).toBeGreaterThanOrEqual(-40);
      }
    }
  });

  it('reads a depth between centre and underside', () => {
    const grid = makeBody({ thicknessM: 0.05, beta: 0, ...meat });
    const profile = Array.from(grid.at, (place) => 40 - 10 * place);
    for (const depth of [0, 0.2, 0.5, 0.97, 1]) {
      expect(bodyAtDepth(grid, profile, depth)).toBeCloseTo(40 + 10 * depth, 9);
    }
  });

  it('refuses figures that no food has', () => {
    const good = { thicknessM: 0.05, beta: 0, ...meat };
    expect(() => makeBody({ ...good, beta: 3 })).toThrow(/beta is 3/);
    expect(() => makeBody({ ...good, diffusivity: Number.NaN })).toThrow(/diffusivity/);
    expect(() => makeBody({ ...good, conductivity: 0 })).toThrow(/conductivity/);
    expect(() => makeBody({ ...good, thicknessM: 70 })).toThrow(/thicknessM is 70/);
  });
});

import { describe, expect, it } from 'vitest';
import { coreC, makeGrid, meanC, stepProfile, surfaceC } from '../../shared/food/conduction.ts';
import { productCoreC } from '../../shared/food/product.ts';

/** Textbook materials start outside what food may be, so the profile is filled by hand. */
const uniform = (nodes: number, celsius: number): number[] => new Array<number>(nodes).fill(celsius);

/** First time at which the core passes a temperature, by bisection on one long step. */
function timeTo(
  grid: ReturnType<typeof makeGrid>,
  startC: number,
  film: number,
  waterC: number,
  core: number,
): number {
  let [low, high] = [0, 36_000];
  for (let k = 0; k < 50; k++) {
    const middle = (low + high) / 2;
    const profile = uniform(grid.shares.length, startC);
    const reached = coreC(stepProfile(grid, profile, { film, fromC: waterC, toC: waterC }, middle));
    if ((reached - core) * (startC - core) > 0) low = middle;
    else high = middle;
  }
  return low;
}

// "Exact" is the series with the true roots, recomputed; "book" is what is printed, read from tables or charts.
describe('textbook worked examples of transient conduction', () => {
  it('Incropera example 5.4: an insulated steel pipe wall, as a slab, after 8 min of oil at 60 C', () => {
    const grid = makeGrid({ thicknessM: 0.08, beta: 0, diffusivity: 1.88e-5, conductivity: 63.9 });
    const start = uniform(grid.shares.length, -20);
    const end = stepProfile(grid, start, { film: 500, fromC: 60, toC: 60 }, 480);
    expect(Math.abs(coreC(end) - 43.0175)).toBeLessThan(0.02);
    expect(Math.abs(surfaceC(end) - 45.3635)).toBeLessThan(0.02);
    // Book: 42.9 C, 7400 W/m2, 2.73e7 J a metre of a pipe 1 m in diameter (from memory).
    expect(Math.abs(coreC(end) - 42.9)).toBeLessThan(0.15);
    const flux = (profile: readonly number[]): number => 500 * (60 - surfaceC(profile));
    expect(Math.abs(flux(end) - 7318.2)).toBeLessThan(10);
    expect(Math.abs(flux(end) / 7400 - 1)).toBeLessThan(0.015);
    // The example's diffusivity is rounded: 63.9 / (7832 x 434) is 1.880e-5.
    const heat = 7832 * 434 * Math.PI * 1 * 0.04 * (meanC(grid, end) - -20);
    expect(Math.abs(heat / 2.72546e7 - 1)).toBeLessThan(0.001);
    expect(Math.abs(heat / 2.73e7 - 1)).toBeLessThan(0.005);
  });

  it('Incropera example 5.5: a sphere cooled in air, then in water', () => {
    const grid = makeGrid({ thicknessM: 0.01, beta: 2, diffusivity: 20 / 3e6, conductivity: 20 });
    // In air the book takes the whole sphere at one temperature: 93.7 s; with its gradient the core lags a little.
    const air = timeTo(grid, 400, 10, 20, 335);
    // (R2 / 6 alpha is 0.6 s).
    expect(air).toBeGreaterThan(93.7);
    expect(air).toBeLessThan(93.8 + 0.6);
    // In water: 3.1 s in the book, which interpolates its table of roots between Bi 1 and 2; 2.98 s with the true root.
    const water = timeTo(grid, 335, 6000, 20, 50);
    expect(Math.abs(water - 2.979)).toBeLessThan(0.005);
    expect(water / 3.08).toBeGreaterThan(0.96);
    expect(water / 3.08).toBeLessThan(1);
  });

  it('Cengel example 4-3: an egg as a sphere reaches 70 C at its centre after 14.4 min', () => {
    const grid = makeGrid({ thicknessM: 0.05, beta: 2, diffusivity: 1.51e-7, conductivity: 0.627 });
    const minutes = timeTo(grid, 5, 1200, 95, 70) / 60;
    expect(Math.abs(minutes - 14.358)).toBeLessThan(0.02);
    expect(Math.abs(minutes - 14.4)).toBeLessThan(0.06);
  });

  it('Cengel example 4-4: the surface of a brass plate after 7 min in an oven at 500 C', () => {
    const grid = makeGrid({ thicknessM: 0.04, beta: 0, diffusivity: 3.39e-5, conductivity: 110 });
    const end = stepProfile(grid, uniform(grid.shares.length, 20), { film: 120, fromC: 500, toC: 500 }, 420);
    expect(Math.abs(coreC(end) - 277.18)).toBeLessThan(0.05);
    expect(Math.abs(surfaceC(end) - 279.58)).toBeLessThan(0.05);
    // Book: 282 C, read from a chart (0.46 x 0.99): 0.5 % of the 480 C step.
    expect(Math.abs(surfaceC(end) - 282)).toBeLessThan(0.005 * 480 + 0.1);
  });

  it('Cengel example 4-5: the core of a steel shaft cooled for 45 min', () => {
    const grid = makeGrid({ thicknessM: 0.2, beta: 1, diffusivity: 3.95e-6, conductivity: 14.9 });
    const end = stepProfile(grid, uniform(grid.shares.length, 600), { film: 80, fromC: 200, toC: 200 }, 2700);
    expect(Math.abs(coreC(end) - 364.3)).toBeLessThan(0.1);
    // Book: 360 C and 62 % of the heat, read from charts.
    expect(Math.abs(coreC(end) - 360)).toBeLessThan(5);
    expect(Math.abs((600 - meanC(grid, end)) / 400 - 0.62)).toBeLessThan(0.02);
  });

  it('Cengel examples 4-8 and 4-9: a short brass cylinder, by the product of a cylinder and a slab', () => {
    const material = { diffusivity: 3.39e-5, conductivity: 110 };
    const constant = { film: 60, waterC: 25, startC: 120 };
    // 10 cm across, 12 cm high.
    const core = productCoreC(
      { kind: 'finite-cylinder', length: 1.2 },
      { thicknessM: 0.1, ...material },
      constant,
      900,
    );
    expect(Math.abs(core - 62.732)).toBeLessThan(0.02);
    // Book: 0.8 x 0.5 from charts, 63 C.
    expect(Math.abs(core - 63)).toBeLessThan(0.5);

    const share = (thicknessM: number, beta: number): number => {
      const grid = makeGrid({ thicknessM, beta, ...material });
      const end = stepProfile(grid, uniform(grid.shares.length, 120), { film: 60, fromC: 25, toC: 25 }, 900);
      return (120 - meanC(grid, end)) / 95;
    };
    const [wall, round] = [share(0.12, 0), share(0.1, 1)];
    // Book: 0.23 and 0.47 from charts, 0.592 together; charts read to about 0.02.
    expect(Math.abs(wall - 0.23)).toBeLessThan(0.025);
    expect(Math.abs(round - 0.47)).toBeLessThan(0.025);
    expect(Math.abs(wall + round * (1 - wall) - 0.592)).toBeLessThan(0.025);
  });

  it('Earle example 5.5 (from memory): a can of sausage meat reaches about 99 C at its centre in 2 h', () => {
    const diffusivity = 0.48 / (1070 * 3350);
    const core = productCoreC(
      { kind: 'finite-cylinder', length: 3 },
      { thicknessM: 0.1, diffusivity, conductivity: 0.48 },
      { film: 1200, waterC: 116, startC: 21 },
      7200,
    );
    expect(Math.abs(core - 99.08)).toBeLessThan(0.05);
    expect(Math.abs(core - 100)).toBeLessThan(1);
  });
});

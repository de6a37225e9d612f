import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  coreC,
  type Grid,
  makeGrid,
  meanC,
  runProfile,
  startProfile,
  stepProfile,
  surfaceC,
} from '../../shared/food/conduction.ts';

const bodies = fc.record({
  thicknessM: fc.double({ min: 0.005, max: 0.15, noNaN: true }),
  beta: fc.double({ min: 0, max: 2, noNaN: true }),
  diffusivity: fc.double({ min: 0.9e-7, max: 1.7e-7, noNaN: true }),
  conductivity: fc.double({ min: 0.25, max: 0.6, noNaN: true }),
});
const films = fc.double({ min: 5, max: 1000, noNaN: true });
const spacings = fc.oneof(fc.constant(1), fc.constant(600), fc.double({ min: 0.05, max: 7200, noNaN: true }));

/** A log that never falls, warmer than the food from the start, at rows of any spacing. */
const risingLogs = fc
  .record({
    startC: fc.double({ min: -1, max: 20, noNaN: true }),
    warmer: fc.double({ min: 0, max: 40, noNaN: true }),
    rows: fc.array(fc.tuple(spacings, fc.double({ min: 0, max: 8, noNaN: true })), {
      minLength: 2,
      maxLength: 25,
    }),
  })
  .map(({ startC, warmer, rows }) => {
    const log = { seconds: [0], waterC: [startC + warmer] };
    for (const [gap, rise] of rows) {
      log.seconds.push(log.seconds.at(-1)! + gap);
      log.waterC.push(Math.min(90, log.waterC.at(-1)! + rise));
    }
    return { startC, ...log };
  });

const anyLogs = fc
  .array(fc.tuple(spacings, fc.double({ min: 0, max: 95, noNaN: true })), { minLength: 2, maxLength: 25 })
  .map((rows) => {
    const log = { seconds: [] as number[], waterC: [] as number[] };
    for (const [gap, celsius] of rows) {
      log.seconds.push((log.seconds.at(-1) ?? 0) + gap);
      log.waterC.push(celsius);
    }
    return log;
  });

type Log = { seconds: number[]; waterC: number[] };

/** Cores at each row, and log10 reductions by a Bigelow law of z 5.56 K, 65.6 C, 0.172 min, trapezoid on the rate. */
function follow(grid: Grid, startC: number, log: Log, film: number): { cores: number[]; log10: number } {
  const cores: number[] = [];
  let log10 = 0;
  runProfile(grid, startProfile(grid, startC), { ...log, film }, (row, profile) => {
    const core = coreC(profile);
    if (row > 0) {
      const rate = (celsius: number): number => 10 ** ((celsius - 65.6) / 5.56) / (0.172 * 60);
      log10 += ((rate(core) + rate(cores.at(-1)!)) / 2) * (log.seconds[row]! - log.seconds[row - 1]!);
    }
    cores.push(core);
  });
  return { cores, log10 };
}

/** What the method may miss by, C: a hundredth of what it promises. */
const tiny = 2e-4;

describe('the conduction solver, for any body and any log', () => {
  it('never gives less core temperature or lethality for water that was hotter throughout', () => {
    fc.assert(
      fc.property(
        bodies,
        films,
        risingLogs,
        fc.double({ min: 0, max: 10, noNaN: true }),
        (body, film, log, by) => {
          const grid = makeGrid(body);
          const cool = follow(grid, log.startC, log, film);
          const hot = follow(
            grid,
            log.startC,
            { ...log, waterC: log.waterC.map((celsius) => celsius + by) },
            film,
          );
          cool.cores.forEach((core, row) => {
            expect(hot.cores[row]!).toBeGreaterThanOrEqual(core - tiny);
          });
          expect(hot.log10).toBeGreaterThanOrEqual(cool.log10 * (1 - 2e-4) - 1e-9);
        },
      ),
      { numRuns: 150 },
    );
  });

  it('never gives more core temperature or lethality for food that is thicker', () => {
    fc.assert(
      fc.property(
        bodies,
        films,
        risingLogs,
        fc.double({ min: 1, max: 2, noNaN: true }),
        (body, film, log, by) => {
          const thin = follow(makeGrid(body), log.startC, log, film);
          const thick = follow(
            makeGrid({ ...body, thicknessM: body.thicknessM * by }),
            log.startC,
            log,
            film,
          );
          thin.cores.forEach((core, row) => {
            // Two grids and two substep ladders: each may be off by what is promised of it.
            expect(thick.cores[row]!).toBeLessThanOrEqual(core + 0.02);
          });
          expect(thick.log10).toBeLessThanOrEqual(thin.log10 * 1.01 + 1e-9);
        },
      ),
      { numRuns: 150 },
    );
  });

  it('keeps every point between the coldest and the hottest that food and water have been', () => {
    fc.assert(
      fc.property(
        bodies,
        films,
        anyLogs,
        fc.double({ min: -1, max: 40, noNaN: true }),
        (body, film, log, startC) => {
          const grid = makeGrid(body);
          const low = Math.min(startC, ...log.waterC);
          const high = Math.max(startC, ...log.waterC);
          runProfile(grid, startProfile(grid, startC), { ...log, film }, (_, profile) => {
            expect(coreC(profile)).toBeGreaterThanOrEqual(low - 0.02);
            expect(coreC(profile)).toBeLessThanOrEqual(high + 0.02);
            for (const celsius of profile) {
              expect(celsius).toBeGreaterThanOrEqual(low - 1);
              expect(celsius).toBeLessThanOrEqual(high + 1);
            }
          });
        },
      ),
      { numRuns: 150 },
    );
  });

  it('gives the same bits whether a log is run whole or split at a row, through JSON on the way', () => {
    fc.assert(
      fc.property(bodies, films, anyLogs, fc.nat(), (body, film, log, pick) => {
        const grid = makeGrid(body);
        const whole = runProfile(grid, startProfile(grid, 5), { ...log, film });
        const cut = pick % log.seconds.length;
        const part = (from: number, to: number): Log & { film: number } => ({
          seconds: log.seconds.slice(from, to),
          waterC: log.waterC.slice(from, to),
          film,
        });
        const half = runProfile(grid, startProfile(grid, 5), part(0, cut + 1));
        const revived = JSON.parse(JSON.stringify({ grid, half })) as { grid: Grid; half: number[] };
        expect(revived.grid).toEqual(grid);
        expect(runProfile(revived.grid, revived.half, part(cut, log.seconds.length))).toEqual(whole);
      }),
      { numRuns: 100 },
    );
  });

  it('changes the core by less than 0.02 C where rows are put between', () => {
    fc.assert(
      fc.property(
        bodies,
        films,
        risingLogs,
        fc.double({ min: 0.05, max: 0.95, noNaN: true }),
        (body, film, log, share) => {
          const grid = makeGrid(body);
          const finer: Log = { seconds: [0], waterC: [log.waterC[0]!] };
          for (let row = 1; row < log.seconds.length; row++) {
            for (const part of [share, 1]) {
              finer.seconds.push(log.seconds[row - 1]! + part * (log.seconds[row]! - log.seconds[row - 1]!));
              finer.waterC.push(log.waterC[row - 1]! + part * (log.waterC[row]! - log.waterC[row - 1]!));
            }
          }
          const coarse = follow(grid, log.startC, log, film);
          const fine = follow(grid, log.startC, finer, film);
          coarse.cores.forEach((core, row) => {
            expect(Math.abs(fine.cores[2 * row]! - core)).toBeLessThan(0.02);
          });
        },
      ),
      { numRuns: 150 },
    );
  });

  it('gives the same bits whatever other steps the grid was used for before', () => {
    fc.assert(
      fc.property(
        bodies,
        films,
        fc.array(spacings, { minLength: 40, maxLength: 60 }),
        (body, film, others) => {
          const fresh = makeGrid(body);
          const used = makeGrid(body);
          for (const seconds of others)
            stepProfile(used, startProfile(used, 5), { film, fromC: 60, toC: 70 }, seconds);
          for (const seconds of [1, 37, 600]) {
            const surface = { film, fromC: 60, toC: 61 };
            expect(stepProfile(used, startProfile(used, 5), surface, seconds)).toEqual(
              stepProfile(fresh, startProfile(fresh, 5), surface, seconds),
            );
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  it('comes to the water and stays there, at steps of 600 s and of a day', () => {
    fc.assert(
      fc.property(bodies, films, (body, film) => {
        const grid = makeGrid(body);
        for (const spacing of [600, 86_400]) {
          let profile = startProfile(grid, 5);
          for (let t = 0; t < 20 * 86_400; t += spacing) {
            profile = stepProfile(grid, profile, { film, fromC: 65, toC: 65 }, spacing);
          }
          for (const celsius of profile) expect(Math.abs(celsius - 65)).toBeLessThan(0.02);
        }
      }),
      { numRuns: 20 },
    );
  });

  it('takes from the water exactly what the food stores, and nothing at a film of 0', () => {
    fc.assert(
      fc.property(bodies, films, (body, film) => {
        const grid = makeGrid(body);
        // A litre of food: area over volume is (beta + 1) / R, heat capacity of a volume is k / alpha.
        const areaM2 = (0.001 * (body.beta + 1)) / (body.thicknessM / 2);
        const storedPerK = (0.001 * body.conductivity) / body.diffusivity;
        const flow = (profile: readonly number[]): number => film * areaM2 * (60 - surfaceC(profile));
        // Well after the jump, so that the trapezoid on the flow is itself accurate.
        let profile = stepProfile(grid, startProfile(grid, 5), { film, fromC: 60, toC: 60 }, 600);
        const before = meanC(grid, profile);
        let taken = 0;
        for (let t = 0; t < 300; t++) {
          const first = flow(profile);
          profile = stepProfile(grid, profile, { film, fromC: 60, toC: 60 }, 1);
          taken += (first + flow(profile)) / 2;
        }
        const stored = storedPerK * (meanC(grid, profile) - before);
        expect(Math.abs(taken - stored)).toBeLessThan(1e-3 * stored + 0.5);

        const sealed = stepProfile(grid, profile, { film: 0, fromC: 0, toC: 0 }, 3000);
        expect(meanC(grid, sealed)).toBeCloseTo(meanC(grid, profile), 9);
      }),
      { numRuns: 60 },
    );
  });
});

import { describe, expect, it } from 'vitest';
import { makeGrid, runProfile, startProfile } from '../../shared/food/conduction.ts';
import { assessed, csvOf, rowsOf } from '../serve/assess-run.ts';
import { theta } from './food-reference.ts';

/** Bag wall, W/(m2 K): 80 um of plastic at 0.4 W/(m K). */
const WALL = 5000;
const material = { diffusivity: 1.3e-7, conductivity: 0.48 };
const flags = ['--diffusivity', '1.3e-7', '--conductivity', '0.48'];

/**
 * Still water by Churchill & Chu on a vertical plate, 302, 380 and 413 W/(m2 K) at 30, 50 and 60 C for 1 K, taken as
 * ratios on the 110 that pieces of food have at 50 C (geometric mean of 57 and 248, Carino-Sarabia & Velez-Ruiz 2013).
 */
const still = (ratio: number) => 1 / (1 / (110 * ratio) + 1 / WALL);

describe('the film of assess', () => {
  it.each([
    [30, 302 / 380],
    [60, 413 / 380],
  ])(
    'in still water at %d C is that of the plate at that temperature, and the core the series of modes',
    async (waterC, ratio) => {
      const csv = csvOf(rowsOf(7200, 60, () => waterC));
      const result = await assessed(csv, ...flags, '--circulation', 'still', '--series', '600');
      const biot = (still(ratio) * 0.02) / material.conductivity;
      const off = result.core.series!.map(([s, celsius]) => {
        const fourier = (material.diffusivity * s) / 0.02 ** 2;
        return Math.abs(celsius - (s === 0 ? 5 : waterC + (5 - waterC) * theta(0, biot, fourier)));
      });
      console.log(`still water at ${waterC} C: largest deviation ${Math.max(...off).toFixed(4)} C`);
      // The ratios are kept to three digits.
      expect(Math.max(...off)).toBeLessThan(0.03);
    },
  );

  it('follows the bath within one log: what is chilled in still ice water cools more slowly than it would with the film of the hot bath', async () => {
    const water = (s: number) => (s < 9000 ? 60 : 4);
    const rows = rowsOf(20_000, 100, water);
    const result = await assessed(csvOf(rows), ...flags, '--circulation', 'still', '--series', '100');
    const grid = makeGrid({ thicknessM: 0.04, beta: 0, ...material });
    const end = (film: (row: number) => number) =>
      runProfile(grid, startProfile(grid, 5), {
        seconds: rows.map(([s]) => s),
        waterC: rows.map(([, c]) => c),
        film: rows.map((_, row) => film(row)),
      })[0]!;
    // Water near 4 C hardly rises: a quarter of the exchange at 50 C (from memory).
    const cold = still(0.25);
    const hot = still(413 / 380);
    const own = end((row) => (rows[row]![1] < 10 ? cold : hot));
    const one = end(() => hot);
    console.log(
      `core after chilling ${result.core.endC.toFixed(2)} C, by its own films ${own.toFixed(2)}, by one ${one.toFixed(2)}`,
    );
    expect(Math.abs(result.core.endC - own)).toBeLessThan(0.25);
    expect(result.core.endC - one).toBeGreaterThan(1);
  });

  it('stays one number for the whole log where one is given', async () => {
    const rows = rowsOf(20_000, 100, (s) => (s < 9000 ? 60 : 4));
    const result = await assessed(csvOf(rows), ...flags, '--film', '120');
    const grid = makeGrid({ thicknessM: 0.04, beta: 0, ...material });
    const log = { seconds: rows.map(([s]) => s), waterC: rows.map(([, c]) => c), film: 120 };
    expect(result.core.endC).toBeCloseTo(runProfile(grid, startProfile(grid, 5), log)[0]!, 2);
    expect(result.inputs).toMatchObject({ film: 120, filmFrom: 'given' });
  });

  it('in pumped water heats faster than in still water, and where nobody said, in between in the middle and as slowly as still at the worst', async () => {
    const csv = csvOf(rowsOf(3600, 60, () => 60));
    const [pumped, none, quiet] = await Promise.all(
      [['--circulation', 'pumped'], [], ['--circulation', 'still']].map((how) =>
        assessed(csv, ...flags, ...how),
      ),
    );
    expect(pumped!.core.endC).toBeGreaterThan(none!.core.endC);
    expect(none!.core.endC).toBeGreaterThan(quiet!.core.endC);
    expect(none!.envelope.core.endC).toBeLessThan(quiet!.core.endC);
  });
});

import { afterAll, describe, expect, it } from 'vitest';
import { coreC, makeGrid, startProfile, stepProfileInto } from '../../shared/food/conduction.ts';
import {
  fattyFishTimes,
  heatingTimes,
  leanFishTimes,
  meatTimes,
  type PublishedTimes,
  poultry55C,
  poultryTimes,
} from './food-published-times.ts';

/** Conductivity is not published with the tables; 0.48 W/(m K) fits (recomputed). */
const conductivity = 0.48;

/** Minutes until every organism of the table is down by what it asks for, or the core is at `untilC`. */
function minutesTo(
  body: { thicknessMm: number; beta: number; diffusivity: number; film: number },
  bathC: number,
  kinetics: PublishedTimes['kinetics'],
  untilC = Number.POSITIVE_INFINITY,
): number {
  const grid = makeGrid({ ...body, thicknessM: body.thicknessMm / 1000, conductivity });
  const profile = startProfile(grid, 5);
  const done = kinetics.map(() => 0);
  const step = 5;
  let before = 5;
  for (let seconds = step; seconds < 3600 * 24; seconds += step) {
    stepProfileInto(grid, profile, profile, body.film, bathC, bathC, step);
    const now = coreC(profile);
    kinetics.forEach(({ dMin, atC, zK }, k) => {
      const rate = (celsius: number): number => 10 ** ((celsius - atC) / zK) / (dMin * 60);
      done[k]! += ((rate(before) + rate(now)) / 2) * step;
    });
    before = now;
    if (now >= untilC || (kinetics.length > 0 && kinetics.every(({ log10 }, k) => done[k]! >= log10)))
      return seconds / 60;
  }
  return Number.POSITIVE_INFINITY;
}

const lines: string[] = [];
afterAll(() => {
  console.log(lines.join('\n'));
});

/** Largest deviations of ours from the table, as a part of it; tallied for the printed line. */
function deviations(
  name: string,
  pairs: readonly (readonly [ours: number, published: number])[],
): { low: number; high: number; mean: number } {
  const parts = pairs.map(([ours, published]) => ours / published - 1);
  const low = Math.min(...parts);
  const high = Math.max(...parts);
  const mean = parts.reduce((sum, part) => sum + part, 0) / parts.length;
  const percent = (part: number): string => `${(100 * part).toFixed(1)} %`;
  lines.push(`${name}: ${pairs.length} rows, ${percent(low)} to ${percent(high)}, mean ${percent(mean)}`);
  return { low, high, mean };
}

/** On top of rounding: what assumptions known from memory only, and a conductivity that is not given, leave open. */
const slack = 0.05;

/**
 * The tables print times rounded up, to 5 minutes below an hour and to a quarter of an hour above (18, 16, 14,
 * 13 minutes at 5 mm are the exceptions). So our time should lie at or under the printed one, and not more
 * than one such unit under: the deviation is the rounding, and its bound is the unit.
 */
function unit(minutes: number): number {
  return minutes <= 60 ? 5 : 15;
}

function bodyOf(table: PublishedTimes, thicknessMm: number): Parameters<typeof minutesTo>[0] {
  return { thicknessMm, beta: table.beta(thicknessMm), diffusivity: table.diffusivity, film: table.film };
}

function expectMean({ mean }: { mean: number }, low: number, high: number): void {
  expect(mean).toBeGreaterThan(low);
  expect(mean).toBeLessThan(high);
}

describe('published times in a held bath', () => {
  it.each([poultryTimes, leanFishTimes, fattyFishTimes])(
    'reproduces every time to pasteurise $name within the rounding of the table and 5 %',
    (table) => {
      const pairs: [number, number][] = [];
      for (const [thicknessMm, minutes] of table.rows) {
        minutes.forEach((published, k) => {
          const ours = minutesTo(bodyOf(table, thicknessMm), table.bathC[k]!, table.kinetics);
          pairs.push([ours, published]);
          const where = `${thicknessMm} mm at ${table.bathC[k]} C: ${ours.toFixed(1)} against ${published} min`;
          expect(ours, where).toBeLessThan(published * (1 + slack));
          expect(ours, where).toBeGreaterThan(published - unit(published) - slack * published);
        });
      }
      expectMean(deviations(table.name, pairs), -0.1, 0);
    },
  );

  it('reproduces every time to pasteurise meat within the rounding of the table and 5 %, but for the row at 30 mm', () => {
    // At 30 mm the table is neither a slab (up to 8 % too long) nor of beta 0.28 (up to 20 % too short): its
    // change of shape, known from memory only, must lie there. The row is held between the two.
    const pairs: [number, number][] = [];
    const between: [number, number][] = [];
    for (const [thicknessMm, minutes] of meatTimes.rows) {
      minutes.forEach((published, k) => {
        const bathC = meatTimes.bathC[k]!;
        const body = bodyOf(meatTimes, thicknessMm);
        const ours = minutesTo(body, bathC, meatTimes.kinetics);
        const where = `${thicknessMm} mm at ${bathC} C: ${ours.toFixed(1)} against ${published} min`;
        if (thicknessMm === 30) {
          between.push([ours, published]);
          expect(ours, where).toBeLessThan(published * 1.09);
          const rounder = minutesTo({ ...body, beta: 0.28 }, bathC, meatTimes.kinetics);
          expect(rounder, where).toBeLessThan(published);
          return;
        }
        pairs.push([ours, published]);
        expect(ours, where).toBeLessThan(published * (1 + slack));
        expect(ours, where).toBeGreaterThan(published - unit(published) - slack * published);
      });
    }
    deviations('meat, 30 mm as a slab', between);
    expectMean(deviations('meat, all other rows', pairs), -0.1, 0);
  });

  it('holds the times for poultry at 55 C between a slab and beta 0.28', () => {
    // The reply does not say its shape: a slab comes within 6.5 %, beta 0.28 up to 15 % under from 15 mm on.
    const listeria = poultryTimes.kinetics.filter(({ name }) => name === 'Listeria');
    const pairs = poultry55C.map(([thicknessMm, published]): [number, number] => {
      const body = { ...bodyOf(poultryTimes, thicknessMm), beta: 0 };
      expect(minutesTo({ ...body, beta: 0.28 }, 55, listeria)).toBeLessThan(published);
      return [minutesTo(body, 55, listeria), published];
    });
    const { low, high } = deviations('poultry at 55 C as slabs', pairs);
    expect(low).toBeGreaterThan(-0.065);
    expect(high).toBeLessThan(0.035);
  });

  it.each([
    ['slab', 0, 1],
    ['cylinder-like', 0.7, 2],
    ['sphere-like', 1.25, 3],
  ] as const)(
    'reproduces the recalled times of a %s body to 0.5 C under a bath at 60 C within one rounding unit and 5 %',
    (name, beta, column) => {
      // From memory, so rounded either way. The slab of 5 mm, 8 min here against 5, is the worst in proportion.
      const pairs: [number, number][] = [];
      for (const row of heatingTimes) {
        const published = row[column];
        if (published === null) continue;
        const ours = minutesTo({ thicknessMm: row[0], beta, diffusivity: 1.4e-7, film: 95 }, 60, [], 59.5);
        expect(
          Math.abs(ours - published),
          `${row[0]} mm: ${ours.toFixed(1)} against ${published} min`,
        ).toBeLessThan(unit(published) + slack * published);
        if (row[0] > 5) pairs.push([ours, published]);
      }
      const { low, high } = deviations(`to 0.5 C under the bath, ${name}, over 5 mm`, pairs);
      expect(low).toBeGreaterThan(-0.075);
      expect(high).toBeLessThan(0.14);
    },
  );
});

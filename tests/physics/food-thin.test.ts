import { afterAll, describe, expect, it } from 'vitest';
import { coreC, makeGrid, startProfile, stepProfile, surfaceC } from '../../shared/food/conduction.ts';
import { assessed, csvOf } from '../serve/assess-run.ts';
import { duhamel, type Piece } from './food-reference.ts';

/**
 * Pieces under 5 mm follow the water within seconds. Once they lie near it the solver takes long substeps; the bound that
 * it states for them is held here against separation of variables and Duhamel's integral (Incropera et al. ch. 5).
 */
const material = { diffusivity: 1.3e-7, conductivity: 0.48 };
const BOUND_C = 0.005;

/** A bath at 64 C that a logger reads to a hundredth, up and down by up to 0.3 C from row to row, then a dip of 6 C. */
function waterOf(rows: number): number[] {
  return Array.from({ length: rows + 1 }, (_, s) => {
    const hunting = 0.1 * Math.sin(s / 5) + 0.05 * (s % 2) + (s % 37 === 0 ? 0.15 : 0);
    return 64 + hunting - (s > 200 ? 6 * Math.exp(-(s - 200) / 40) : 0);
  });
}

let worst = 0;
afterAll(() => console.log(`pieces of 1 to 4 mm at rows of 1 s: largest deviation ${worst.toFixed(4)} C`));

describe('a piece under 5 mm', () => {
  const bodies = [0, 1, 2].flatMap((beta) =>
    [1, 2, 4].flatMap((mm) => [60, 200, 600].map((film) => ({ beta, mm, film }))),
  );

  it.each(bodies)(
    'of beta $beta and $mm mm under a film of $film keeps its core within 0.005 C and its surface within 0.02 C of the exact solution at rows of 1 s',
    ({ beta, mm, film }) => {
      const water = waterOf(260);
      const body = { beta, radiusM: mm / 2000, film, startC: 63.8, ...material };
      const grid = makeGrid({ thicknessM: mm / 1000, beta, ...material });
      const pieces: Piece[] = [];
      let profile = startProfile(grid, 63.8);
      for (let s = 1; s < water.length; s++) {
        const [fromC, toC] = [water[s - 1]!, water[s]!];
        pieces.push({ seconds: 1, fromC, toC });
        profile = stepProfile(grid, profile, { film, fromC, toC }, 1);
        if (s % 11 !== 0 && s !== 201) continue;
        const exact = duhamel(body, pieces, s);
        const off = Math.max(
          Math.abs(coreC(profile) - exact.core),
          Math.abs(surfaceC(profile) - exact.surface) / 4,
        );
        worst = Math.max(worst, off);
        expect(off, `at ${s} s`).toBeLessThan(BOUND_C);
      }
    },
  );

  it.each([1, 2, 4])(
    'of %d mm earns in assess at rows of 1 s what it earns with nine rows put between each two, within 0.01 log on its way to the target',
    async (mm) => {
      const [rows, between] = [900, 10];
      const water = waterOf(rows);
      const fine = Array.from({ length: rows * between + 1 }, (_, i) => {
        const [at, part] = [Math.floor(i / between), (i % between) / between];
        return [i / between, water[at]! + part * ((water[at + 1] ?? water[at]!) - water[at]!)] as const;
      });
      const flags = ['--thickness', `${mm}mm`, '--start', '5C'];
      const coarse = await assessed(csvOf(water.map((c, s) => [s, c] as const)), ...flags);
      const exact = await assessed(csvOf(fine), ...flags);
      for (const side of ['lethality', 'envelope'] as const) {
        const of = (result: typeof coarse) =>
          side === 'lethality' ? result.lethality : result.envelope.lethality;
        of(coarse).forEach((entry, i) => {
          const other = of(exact)[i]!;
          const far = Math.max(1, other.log10 / (other.targetLog10 ?? 6.5));
          expect(Math.abs(entry.log10 - other.log10), `${side} ${entry.standardId}`).toBeLessThan(0.01 * far);
        });
      }
      expect(Math.abs(coarse.core.endC - exact.core.endC)).toBeLessThan(BOUND_C);
    },
  );
});

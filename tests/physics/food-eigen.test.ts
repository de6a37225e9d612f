import { afterAll, describe, expect, it } from 'vitest';
import { coreC, makeGrid, startProfile, stepProfile, surfaceC } from '../../shared/food/conduction.ts';
import { centreFourier, centreTheta, higherRoots, oneTerm, sphereRoots } from './food-published.ts';
import { duhamel, modes, profileOf, theta } from './food-reference.ts';

const names = ['slab', 'cylinder', 'sphere'] as const;

describe('the reference the solver is checked by', () => {
  it('has the first roots and coefficients of Incropera table 5.1 in all 22 rows, to 1 in the fourth decimal', () => {
    let worst = 0;
    for (const row of oneTerm) {
      for (const beta of [0, 1, 2]) {
        const [first] = modes(beta, row[0], 3);
        worst = Math.max(
          worst,
          Math.abs(first!.zeta - row[1 + 2 * beta]!),
          Math.abs(first!.c - row[2 + 2 * beta]!),
        );
      }
    }
    console.log(`table 5.1: largest deviation ${worst.toFixed(5)}`);
    expect(worst).toBeLessThanOrEqual(1.01e-4);
  });

  it('has the published roots of the sphere (2007 table A.2) to one unit in the fourth decimal', () => {
    for (const [biot, roots] of sphereRoots) {
      roots.forEach((root, n) => {
        expect(Math.abs(modes(2, biot, 6)[n]!.zeta - root), `Bi ${biot}, root ${n + 1}`).toBeLessThan(1e-4);
      });
    }
  });

  it('has roots 1 to 6 and their coefficients to six decimals', () => {
    for (const [beta, biot, zeta, c] of higherRoots) {
      zeta.forEach((root, n) => {
        expect(Math.abs(modes(beta, biot, 6)[n]!.zeta - root)).toBeLessThan(1e-6);
        expect(Math.abs(modes(beta, biot, 6)[n]!.c - c[n]!)).toBeLessThan(1e-6);
      });
    }
  });

  it('integrates the profile of a body between the named shapes as well as the closed forms', () => {
    // A body a hair from a slab, a cylinder or a sphere has to be one: its profile comes by integration.
    for (const [beta, near] of [
      [0, 1e-9],
      [1, 1 + 1e-9],
      [2, 2 - 1e-9],
    ] as const) {
      for (const x of [0.03, 1, 7.3, 40]) {
        expect(profileOf(near)(x)[0]).toBeCloseTo(profileOf(beta)(x)[0], 7);
        expect(profileOf(near)(x)[1]).toBeCloseTo(profileOf(beta)(x)[1], 7);
      }
    }
  });
});

describe('the solver against separation of variables', () => {
  it('gives the published temperature left at the centre in all 72 places, within 0.02 C on 80 C', () => {
    let worst = 0;
    for (const [beta, biot, row] of centreTheta) {
      const [radius, diffusivity, conductivity] = [0.02, 1.4e-7, 0.48];
      const grid = makeGrid({ thicknessM: 2 * radius, beta, diffusivity, conductivity });
      const film = (biot * conductivity) / radius;
      row.forEach((left, k) => {
        expect(Math.abs(theta(beta, biot, centreFourier[k]!) - left)).toBeLessThan(1e-6);
        const seconds = (centreFourier[k]! * radius ** 2) / diffusivity;
        const core = coreC(stepProfile(grid, startProfile(grid, 5), { film, fromC: 85, toC: 85 }, seconds));
        worst = Math.max(worst, Math.abs(core - (85 - 80 * left)));
      });
    }
    console.log(`centre temperatures, one step each: largest deviation ${worst.toFixed(4)} C of 80 C`);
    expect(worst).toBeLessThan(0.02);
  });

  const worstOf = { core: 0, surface: 0 };
  afterAll(() => {
    console.log(
      `step of the water by 75 C: core ${worstOf.core.toFixed(4)} C, surface ${worstOf.surface.toFixed(4)} C`,
    );
  });

  const bodies = [0, 1, 2, 0.28, 1.5].flatMap((beta) =>
    [
      { thicknessM: 0.008, film: 300 },
      { thicknessM: 0.03, film: 95 },
      { thicknessM: 0.06, film: 20 },
      { thicknessM: 0.1, film: 500 },
    ].map((rest) => ({ beta, ...rest })),
  );

  it.each(bodies)(
    'keeps core within 0.02 C and surface within 0.05 C for beta $beta, $thicknessM m, film $film, at rows of 1, 60 and 600 s',
    ({ beta, thicknessM, film }) => {
      const material = { diffusivity: 1.35e-7, conductivity: 0.47 };
      const grid = makeGrid({ thicknessM, beta, ...material });
      const body = { beta, radiusM: thicknessM / 2, film, startC: 5, ...material };
      const slow = (thicknessM / 2) ** 2 / material.diffusivity;
      for (const spacing of [1, 60, 600]) {
        // The series costs far more than the step it judges.
        const every = spacing === 1 ? 997 : 97;
        let profile = startProfile(grid, 5);
        const rows = Math.ceil(Math.min(2 * slow, 20_000) / spacing);
        for (let row = 1; row <= rows; row++) {
          profile = stepProfile(grid, profile, { film, fromC: 80, toC: 80 }, spacing);
          // The series converges too slowly to be a judge in the first instants.
          if ((row * spacing) / slow < 0.005 || (row % every !== 0 && row !== rows && row > 12)) continue;
          const exact = duhamel(body, [{ seconds: 1e9, fromC: 80, toC: 80 }], row * spacing);
          const core = Math.abs(coreC(profile) - exact.core);
          const surface = Math.abs(surfaceC(profile) - exact.surface);
          worstOf.core = Math.max(worstOf.core, core);
          worstOf.surface = Math.max(worstOf.surface, surface);
          expect(core, `core at row ${row} of ${spacing} s`).toBeLessThan(0.02);
          expect(surface, `surface at row ${row} of ${spacing} s`).toBeLessThan(0.05);
        }
      }
    },
  );

  it('calls the shapes by the right numbers', () => {
    // The core of a sphere is ahead of a cylinder's, and that of a slab's.
    const cores = names.map((_, beta) => {
      const grid = makeGrid({ thicknessM: 0.04, beta, diffusivity: 1.4e-7, conductivity: 0.48 });
      return coreC(stepProfile(grid, startProfile(grid, 5), { film: 200, fromC: 60, toC: 60 }, 1200));
    });
    expect(cores[0]!).toBeLessThan(cores[1]!);
    expect(cores[1]!).toBeLessThan(cores[2]!);
  });
});

import { afterAll, describe, expect, it } from 'vitest';
import { coreC, makeGrid, startProfile, stepProfile } from '../../shared/food/conduction.ts';
import { productCoreC } from '../../shared/food/product.ts';
import { betaOf, parseShape, type Shape, usualBrick, usualCylinder } from '../../shared/food/shape.ts';
import { theta } from './food-reference.ts';

const lines: string[] = [];
afterAll(() => {
  console.log(lines.join('\n'));
});

const material = { diffusivity: 1.4e-7, conductivity: 0.48 };

describe('shapes by name', () => {
  it.each<[string, Shape]>([
    ['slab', { kind: 'slab' }],
    [' Cylinder ', { kind: 'cylinder' }],
    ['sphere', { kind: 'sphere' }],
    ['0.7', { kind: 'beta', beta: 0.7 }],
    ['brick', usualBrick],
    ['brick:2:3.5', { kind: 'brick', width: 2, length: 3.5 }],
    ['finite-cylinder', usualCylinder],
    ['finite-cylinder:0.4', { kind: 'finite-cylinder', length: 0.4 }],
  ])('reads %s', (text, shape) => {
    expect(parseShape(text)).toEqual(shape);
  });

  it.each([
    '',
    'box',
    '2.1',
    '-0.1',
    'brick:2',
    'brick:0.5:2',
    'brick:2:',
    'slab:2',
    'finite-cylinder:0',
    'sphere:1',
    'brick:1:2:3',
  ])('refuses "%s" and says what may be written', (text) => {
    expect(() => parseShape(text)).toThrow(/is no shape: expected slab, cylinder, sphere/);
  });

  it('have beta 0, 1 and 2 for slab, cylinder and sphere, and their own for numbers', () => {
    expect(['slab', 'cylinder', 'sphere', '0.7'].map((text) => betaOf(parseShape(text)))).toEqual([
      0, 1, 2, 0.7,
    ]);
    expect(() => betaOf({ kind: 'beta', beta: 2.5 })).toThrow(/2.5/);
  });
});

describe('bricks and finite cylinders', () => {
  it('have the product of their crossed bodies at the core (Incropera 5.8), within 0.02 C', () => {
    let worst = 0;
    for (const film of [60, 300]) {
      for (const seconds of [900, 2400, 7200]) {
        const thicknessM = 0.04;
        const fourier = (times: number): number =>
          (material.diffusivity * seconds) / ((thicknessM * times) / 2) ** 2;
        const biot = (times: number): number => (film * thicknessM * times) / 2 / material.conductivity;
        const slab = (times: number): number => theta(0, biot(times), fourier(times));
        const constant = { film, waterC: 75, startC: 5 };
        const body = { thicknessM, ...material };
        const brick = productCoreC({ kind: 'brick', width: 1.5, length: 2.5 }, body, constant, seconds);
        worst = Math.max(worst, Math.abs(brick - (75 - 70 * slab(1) * slab(1.5) * slab(2.5))));
        const rod = productCoreC({ kind: 'finite-cylinder', length: 2 }, body, constant, seconds);
        worst = Math.max(worst, Math.abs(rod - (75 - 70 * theta(1, biot(1), fourier(1)) * slab(2))));
        const disc = productCoreC({ kind: 'finite-cylinder', length: 0.4 }, body, constant, seconds);
        worst = Math.max(worst, Math.abs(disc - (75 - 70 * theta(1, biot(2.5), fourier(2.5)) * slab(1))));
      }
    }
    lines.push(`product solutions, 18 cases: largest deviation ${worst.toFixed(4)} C`);
    expect(worst).toBeLessThan(0.02);
  });

  it.each([
    'brick',
    'brick:1:1',
    'brick:1:3',
    'brick:3:5',
    'finite-cylinder',
    'finite-cylinder:1',
    'finite-cylinder:0.4',
  ])(
    '%s: its beta never runs ahead of its true core once that is half way, at any film, and by 1.6 C at most before',
    (text) => {
      const shape = parseShape(text);
      const beta = betaOf(shape);
      const body = { thicknessM: 0.05, ...material };
      const grid = makeGrid({ ...body, beta });
      let ahead = 0;
      let behind = 0;
      for (const film of [30, 95, 300, 2000]) {
        for (let seconds = 120; seconds < 40_000; seconds *= 1.15) {
          const mapped = coreC(
            stepProfile(grid, startProfile(grid, 5), { film, fromC: 65, toC: 65 }, seconds),
          );
          const exact = productCoreC(shape, body, { film, waterC: 65, startC: 5 }, seconds);
          behind = Math.max(behind, exact - mapped);
          if (exact > 35) expect(mapped, `${film} W/(m2 K), ${seconds} s`).toBeLessThan(exact + 0.02);
          else ahead = Math.max(ahead, mapped - exact);
        }
      }
      lines.push(
        `${text}: beta ${beta.toFixed(3)}, ahead by ${ahead.toFixed(2)} C while cold, behind by ${behind.toFixed(1)} C at most`,
      );
      expect(ahead).toBeLessThan(1.6);
      expect(behind).toBeLessThan(8);
    },
  );

  it.each([
    'brick',
    'brick:1:1',
    'brick:1:2',
    'brick:1:100',
    'brick:3:3',
    'finite-cylinder:0.5',
    'finite-cylinder:1',
    'finite-cylinder',
  ])(
    '%s: its beta is the one whose core, solved, is half way when the crossed bodies, solved, are',
    (text) => {
      const shape = parseShape(text);
      const body = { thicknessM: 0.04, ...material };
      const jump = { film: 9e5, waterC: 1, startC: 0 };
      const halfWay = (of: Shape) => {
        let [early, late] = [60, 2000];
        while (late - early > 0.01) {
          const middle = (early + late) / 2;
          if (productCoreC(of, body, jump, middle) < 0.5) early = middle;
          else late = middle;
        }
        return early;
      };
      const off = halfWay({ kind: 'beta', beta: betaOf(shape) }) / halfWay(shape) - 1;
      lines.push(`${text}: half way ${(off * 100).toFixed(4)} % late`);
      expect(Math.abs(off)).toBeLessThan(2e-4);
    },
  );

  it('comes near the 0.28 that Baldwin 2012 (from memory) takes for a 2:3:5 box, on the slow side', () => {
    expect(betaOf(usualBrick)).toBeGreaterThan(0.15);
    expect(betaOf(usualBrick)).toBeLessThan(0.28);
  });

  it('grow into slabs and cylinders as they get long', () => {
    expect(betaOf({ kind: 'brick', width: 50, length: 100 })).toBeLessThan(0.01);
    expect(Math.abs(betaOf({ kind: 'finite-cylinder', length: 50 }) - 1)).toBeLessThan(0.01);
    // A cube and a rod as long as it is thick are squatter than a cylinder, less than a sphere.
    expect(betaOf(parseShape('brick:1:1'))).toBeGreaterThan(1);
    expect(betaOf(parseShape('finite-cylinder:1'))).toBeLessThan(2);
  });

  it('stay at the water where they start there', () => {
    expect(
      productCoreC(usualBrick, { thicknessM: 0.04, ...material }, { film: 95, waterC: 20, startC: 20 }, 60),
    ).toBe(20);
  });
});

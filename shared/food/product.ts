import { coreC, startProfile, stepProfile } from './conduction.ts';
import { type Body, makeGrid } from './grid.ts';
import type { Shape } from './shape.ts';

/** The slabs and cylinders whose crossing is the shape: lengths as multiples of its thickness. */
function crossed(shape: Shape): { beta: number; times: number }[] {
  switch (shape.kind) {
    case 'slab':
      return [{ beta: 0, times: 1 }];
    case 'cylinder':
      return [{ beta: 1, times: 1 }];
    case 'sphere':
      return [{ beta: 2, times: 1 }];
    case 'beta':
      return [{ beta: shape.beta, times: 1 }];
    case 'brick':
      return [1, shape.width, shape.length].map((times) => ({ beta: 0, times }));
    case 'finite-cylinder': {
      // A disc's thickness is its height, a rod's its diameter.
      const diameter = shape.length >= 1 ? 1 : 1 / shape.length;
      return [
        { beta: 1, times: diameter },
        { beta: 0, times: diameter * shape.length },
      ];
    }
  }
}

/**
 * Core of a shape, in water of one temperature since it went in: the product of its crossed slabs and
 * cylinders (Incropera 5.8), which needs a uniform start and the same film on all faces. Water that changes
 * has no such solution: use betaOf and stepProfile there.
 * @param body material and thickness.
 * @returns C after `seconds`.
 * @throws RangeError where body, start or film are out of range.
 */
export function productCoreC(
  shape: Shape,
  body: Omit<Body, 'beta'>,
  constant: { film: number; waterC: number; startC: number },
  seconds: number,
): number {
  const { film, waterC, startC } = constant;
  if (startC === waterC) return waterC;
  let left = 1;
  for (const { beta, times } of crossed(shape)) {
    // Beyond 1 m a side adds nothing to the core within days.
    const grid = makeGrid({ ...body, beta, thicknessM: Math.min(1, body.thicknessM * times) });
    const surface = { film, fromC: waterC, toC: waterC };
    const core = coreC(stepProfile(grid, startProfile(grid, startC), surface, seconds));
    left *= (core - waterC) / (startC - waterC);
  }
  return waterC + (startC - waterC) * left;
}

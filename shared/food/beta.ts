import { productCoreC } from './product.ts';
import type { Shape } from './shape.ts';

/** Any body will do: the answer depends on proportions alone once the surface follows the water. */
const body = { thicknessM: 0.04, diffusivity: 1.4e-7, conductivity: 0.48 };
const step = { film: 1e5, waterC: 1, startC: 0 };
const radius2 = (body.thicknessM / 2) ** 2 / body.diffusivity;

/** Bisection on a function that falls through zero, to 4e-6 of the range. */
function crossing(f: (x: number) => number, low: number, high: number): number {
  let [a, b] = [low, high];
  for (let k = 0; k < 18; k++) {
    const middle = (a + b) / 2;
    if (f(middle) > 0) a = middle;
    else b = middle;
  }
  return a;
}

/**
 * The beta to carry a shape through changing water with: the one whose core is half way to the water at the
 * same time as the shape's own (product solution, surface at the water's temperature). From there on the
 * shape's true core is never colder, at any film; before that, while neither is half way, it may be by some
 * degrees. 2 : 3 : 5 bricks come to 0.2 (Baldwin 2012, from memory, takes 0.28 at 95 W/(m2 K)).
 * @returns 0 slab, 1 cylinder, 2 sphere, else between.
 * @throws RangeError for a beta outside 0..2.
 */
export function betaOf(shape: Shape): number {
  if (shape.kind === 'slab') return 0;
  if (shape.kind === 'cylinder') return 1;
  if (shape.kind === 'sphere') return 2;
  if (shape.kind === 'beta') {
    if (shape.beta >= 0 && shape.beta <= 2) return shape.beta;
    throw new RangeError(`beta is ${shape.beta}; expected 0 (slab) to 2 (sphere).`);
  }
  const half = crossing((t) => 0.5 - productCoreC(shape, body, step, t), 0, radius2);
  return crossing((beta) => 0.5 - productCoreC({ kind: 'beta', beta }, body, step, half), 0, 2);
}

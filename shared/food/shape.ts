import { firstRoot } from './roots.ts';

/** A body by name and proportions; lengths are relative to the thickness (the smallest dimension). */
export type Shape =
  | { kind: 'slab' }
  | { kind: 'cylinder' }
  | { kind: 'sphere' }
  | { kind: 'beta'; beta: number }
  /** width and length as multiples of the thickness, each 1 or more. */
  | { kind: 'brick'; width: number; length: number }
  /** length as a multiple of the diameter; under 1 it is a disc and the thickness is its height. */
  | { kind: 'finite-cylinder'; length: number };

/** Proportions of a piece of meat where nobody measured it: 2 : 3 : 5 (Baldwin 2012, from memory). */
export const usualBrick = { kind: 'brick', width: 1.5, length: 2.5 } as const;
export const usualCylinder = { kind: 'finite-cylinder', length: 2 } as const;

/**
 * Reads a shape as a person writes it: slab, cylinder, sphere, a beta from 0 to 2, brick, brick:1.5:2.5
 * (width and length over thickness), finite-cylinder, finite-cylinder:2 (length over diameter).
 * @throws RangeError that lists what may be written.
 */
export function parseShape(text: string): Shape {
  const [kind = '', ...rest] = text.trim().toLowerCase().split(':');
  const numbers = rest.map(Number);
  const [first, second] = numbers;
  if (kind === 'slab' || kind === 'cylinder' || kind === 'sphere') {
    if (rest.length === 0) return { kind };
  } else if (kind === 'brick') {
    if (rest.length === 0) return usualBrick;
    if (first !== undefined && second !== undefined && rest.length === 2 && first >= 1 && second >= 1) {
      return { kind, width: first, length: second };
    }
  } else if (kind === 'finite-cylinder') {
    if (rest.length === 0) return usualCylinder;
    if (first !== undefined && rest.length === 1 && first > 0) return { kind, length: first };
  } else if (kind !== '' && rest.length === 0 && Number(kind) >= 0 && Number(kind) <= 2) {
    return { kind: 'beta', beta: Number(kind) };
  }
  throw new RangeError(
    `"${text}" is no shape; expected slab, cylinder, sphere, a number from 0 to 2, brick or brick:WIDTH:LENGTH ` +
      '(each 1 or more, as multiples of the thickness), finite-cylinder or finite-cylinder:LENGTH (as a multiple of the diameter).',
  );
}

/** Decay rate of the slowest mode, as a multiple of alpha / R2, where the surface follows the water. */
function slowestDecay(shape: Shape): number {
  const slab = (Math.PI / 2) ** 2;
  const round = firstRoot(1, Number.POSITIVE_INFINITY) ** 2;
  switch (shape.kind) {
    case 'brick':
      return slab * (1 + shape.width ** -2 + shape.length ** -2);
    case 'finite-cylinder':
      return shape.length >= 1 ? round + slab / shape.length ** 2 : slab + round * shape.length ** 2;
    default:
      return firstRoot(betaOf(shape), Number.POSITIVE_INFINITY) ** 2;
  }
}

/**
 * The beta whose slowest mode decays as fast as the shape's, where the surface follows the water. With a
 * film of finite resistance the true shape heats faster than its beta (more surface a volume), so the core
 * is never credited with more than it has; tests bound by how much.
 * @throws RangeError for proportions under 1.
 */
export function betaOf(shape: Shape): number {
  switch (shape.kind) {
    case 'slab':
      return 0;
    case 'cylinder':
      return 1;
    case 'sphere':
      return 2;
    case 'beta':
      if (!(shape.beta >= 0 && shape.beta <= 2))
        throw new RangeError(`beta is ${shape.beta}; expected 0 to 2.`);
      return shape.beta;
    default: {
      const wanted = slowestDecay(shape);
      let low = 0;
      let high = 2;
      for (let i = 0; i < 50; i++) {
        const beta = (low + high) / 2;
        if (firstRoot(beta, Number.POSITIVE_INFINITY) ** 2 < wanted) low = beta;
        else high = beta;
      }
      return (low + high) / 2;
    }
  }
}

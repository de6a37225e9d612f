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
export const usualBrick = { kind: 'brick', width: 1.5, length: 2.5 } as const satisfies Shape;
/** A rolled or whole muscle where nobody measured it (common practice, no source). */
export const usualCylinder = { kind: 'finite-cylinder', length: 2 } as const satisfies Shape;

const expected =
  'expected slab, cylinder, sphere, a number from 0 to 2, brick or brick:WIDTH:LENGTH (each 1 to 100, as ' +
  'multiples of the thickness), finite-cylinder or finite-cylinder:LENGTH (0.05 to 100, as a multiple of the diameter).';

/** A proportion in range, or NaN. */
const proportion = (text: string | undefined, low: number): number => {
  const value = Number(text === undefined || text.trim() === '' ? Number.NaN : text);
  return value >= low && value <= 100 ? value : Number.NaN;
};

/**
 * Reads a shape as a person writes it: slab, cylinder, sphere, a beta from 0 to 2, brick, brick:1.5:2.5
 * (width and length over thickness), finite-cylinder, finite-cylinder:2 (length over diameter).
 * @throws RangeError that lists what may be written.
 */
export function parseShape(text: string): Shape {
  const [kind = '', ...rest] = text.trim().toLowerCase().split(':');
  const bare = rest.length === 0;
  if (bare && (kind === 'slab' || kind === 'cylinder' || kind === 'sphere')) return { kind };
  if (bare && kind === 'brick') return usualBrick;
  if (bare && kind === 'finite-cylinder') return usualCylinder;
  if (kind === 'brick' && rest.length === 2) {
    const [width, length] = [proportion(rest[0], 1), proportion(rest[1], 1)];
    if (width && length) return { kind, width, length };
  }
  if (kind === 'finite-cylinder' && rest.length === 1) {
    const length = proportion(rest[0], 0.05);
    if (length) return { kind, length };
  }
  const beta = Number(kind);
  if (bare && kind !== '' && beta >= 0 && beta <= 2) return { kind: 'beta', beta };
  throw new RangeError(`"${text}" is no shape: ${expected}`);
}

export { betaOf } from './beta.ts';

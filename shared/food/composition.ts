/** Mass fractions of a food; they add up to 1. Carbohydrate includes fibre unless fibre is given. */
export interface Composition {
  water: number;
  protein: number;
  fat: number;
  carbohydrate: number;
  ash: number;
  fibre?: number;
}

export const components = ['water', 'protein', 'fat', 'carbohydrate', 'fibre', 'ash'] as const;
export type Component = (typeof components)[number];

/**
 * Mass fractions scaled to add up to 1. Published analyses sum to 97..101 %: each part is measured by itself.
 * @throws RangeError where a part is negative or the sum is too far from 1 to be rounding.
 */
export function normalised(composition: Composition): Record<Component, number> {
  const parts = { fibre: 0, ...composition };
  let sum = 0;
  for (const name of components) {
    const part = parts[name];
    if (!(part >= 0 && part <= 1)) {
      throw new RangeError(
        `${name} is ${part}; expected a mass fraction from 0 to 1 (divide percent by 100).`,
      );
    }
    sum += part;
  }
  if (!(sum > 0.9 && sum < 1.05)) {
    throw new RangeError(
      `the composition adds up to ${sum.toFixed(3)}; expected 0.9 to 1.05. Check each part.`,
    );
  }
  const scaled = { ...parts };
  for (const name of components) scaled[name] = parts[name] / sum;
  return scaled;
}

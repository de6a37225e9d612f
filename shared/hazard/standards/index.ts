import { DZ } from './dz.ts';
import { FISH_GUIDE } from './fish-guide.ts';
import { FOOD_CODE } from './food-code.ts';
import { FSIS_MEAT } from './fsis-meat.ts';
import { FSIS_POULTRY } from './fsis-poultry.ts';
import type { Standard } from './types.ts';

export type { Doubt, DzStandard, Standard, StandardRow, TableStandard } from './types.ts';

/** Every lethality standard the program knows, each with its source. */
export const standards: readonly Standard[] = [
  ...FSIS_MEAT,
  ...FSIS_POULTRY,
  ...FOOD_CODE,
  ...FISH_GUIDE,
  ...DZ,
];

const BY_ID: ReadonlyMap<string, Standard> = new Map(standards.map((s) => [s.id, s]));

/**
 * The standard of that id.
 * Throws a RangeError that lists the ids known when there is none.
 */
export function standardById(id: string): Standard {
  const found = BY_ID.get(id);
  if (!found) {
    throw new RangeError(`No lethality standard "${id}"; known are ${[...BY_ID.keys()].join(', ')}.`);
  }
  return found;
}

import { HOT_HOLD_ROAST_C } from './profiles.ts';

/** 70 F: the end of the first leg of Food Code 3-501.14; water colder than this is there to chill. */
const CHILL_WATER_C = 190 / 9;

/**
 * Whether food counts as taken out to chill, for a log in which nobody said so: cooked food in water under 21.1 C,
 * until the water is back at 54.4 C. `was`: the answer a row earlier; `cooked`: its lethality standard was met.
 */
export function isChilling(was: boolean, cooked: boolean, waterC: number): boolean {
  return was ? waterC < HOT_HOLD_ROAST_C : cooked && waterC < CHILL_WATER_C;
}

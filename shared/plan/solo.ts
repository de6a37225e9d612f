/** One piece in water of one temperature, with its slow and fast case: for chilling and for making hot again. */
import { makeGrid, startProfile, stepProfileInto } from '../food/conduction.ts';
import { filmFor } from '../food/film.ts';
import { memberFilm } from '../hazard/envelope.ts';
import type { Food } from './food.ts';

/** When the core passes a temperature, s; slow, middle and fast case. Null where it does not within three days. */
export interface Passing {
  readonly celsius: number;
  readonly fastS: number | null;
  readonly middleS: number | null;
  readonly slowS: number | null;
}

const LONGEST_S = 72 * 3600;

/**
 * When the core passes each of `targetsC` on its way from `fromC` to the water's temperature.
 * Targets the water never brings it to come out as null. Moving water on all sides.
 */
export function passings(food: Food, fromC: number, waterC: number, targetsC: readonly number[]): Passing[] {
  const film = filmFor({ circulation: 'pumped', waterC: Math.max(1, (fromC + waterC) / 2) });
  const times = food.members.map((member) => {
    const grid = makeGrid(member.body);
    return timesOf(grid, memberFilm(member, film), fromC, waterC, targetsC);
  });
  return targetsC.map((celsius, i) => ({
    celsius,
    slowS: times[0]![i]!,
    middleS: times[1]![i]!,
    fastS: times[2]![i]!,
  }));
}

function timesOf(
  grid: ReturnType<typeof makeGrid>,
  film: number,
  fromC: number,
  waterC: number,
  targetsC: readonly number[],
): (number | null)[] {
  const sign = waterC >= fromC ? 1 : -1;
  const found: (number | null)[] = targetsC.map((c) => (sign * (c - fromC) <= 0 ? 0 : null));
  const reachable = targetsC.map((c) => sign * (waterC - c) > 0);
  const profile = startProfile(grid, fromC);
  let before = fromC;
  let stride = 30;
  for (let at = 0; at < LONGEST_S && found.some((t, i) => t === null && reachable[i]); ) {
    stepProfileInto(grid, profile, profile, film, waterC, waterC, stride);
    const core = profile[0]!;
    targetsC.forEach((c, i) => {
      if (found[i] === null && sign * (core - c) >= 0)
        found[i] = at + (stride * (c - before)) / (core - before);
    });
    at += stride;
    before = core;
    stride = Math.min(300, stride * 1.15);
  }
  return found;
}

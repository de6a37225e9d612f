/** What a cold bag does to a running bath and to the bags in it. */
import { coldLoadDip } from '../bath/sizing.ts';
import { limitProfile } from '../hazard/profiles.ts';
import type { Schedule } from './batches.ts';
import type { Kitchen } from './kitchen.ts';
import { inText } from './names.ts';
import type { Joint } from './outcome.ts';
import type { Addition, Dish } from './types.ts';
import { clockText } from './zone.ts';

/** Back to this near the setpoint counts as back, K. */
const BACK_K = 0.25;
/** A dip smaller than this is not felt by what is already in, K. */
const FELT_K = 0.5;

const SOURCE =
  'energy balance m c dT; New Zealand food control plan template: chilled food is not added part-way, or the clock of what is in begins again';

/** Every batch after the first, with the dip it makes and whose come-up clock begins again. */
export function additionsOf(kitchen: Kitchen, schedule: Schedule, joint: Joint, bathC: number): Addition[] {
  return schedule.batches.slice(1).flatMap((batch, i) => {
    const before = schedule.batches.slice(0, i + 1).flatMap((b) => b.dishes);
    return batch.dishes.map((dish) => additionOf(kitchen, joint, bathC, dish, batch.inMs, before));
  });
}

function additionOf(
  kitchen: Kitchen,
  joint: Joint,
  bathC: number,
  dish: Dish,
  atMs: number,
  before: readonly Dish[],
): Addition {
  const { balance, job } = kitchen;
  const food = kitchen.food(dish, bathC);
  const atS = (atMs - joint.zeroMs) / 1000;
  const dipMostC = coldLoadDip(balance, bathC, dish.piecesCount * food.heatJK, dish.startC);
  const after = joint.run.water.filter((w) => w.atS >= atS);
  const { lowestC, backS } = dipOf(after, bathC);
  const restarts =
    lowestC > bathC - FELT_K ? [] : before.filter((one) => restartsClock(kitchen, joint, one, atS, lowestC));
  const names = restarts.map(inText).join(', ');
  const cools = `${dish.name} going in cools the water by ${(bathC - lowestC).toFixed(1)} K with the heater at work, ${dipMostC.toFixed(1)} K at most`;
  const words =
    restarts.length > 0
      ? `${cools}: the come-up clock of ${names} begins again at ${clockText(atMs, job.zone)}.`
      : lowestC > bathC - FELT_K
        ? `${cools}: too little to be felt by what is in.`
        : `${cools}; what is in is already safe and stays above the hot-holding limit.`;
  return {
    dishId: dish.dishId,
    atMs,
    dipMostC,
    dipC: bathC - lowestC,
    lowestC,
    backAtMs: backS === null ? null : Math.round(joint.zeroMs + 1000 * backS),
    restartsDishIds: restarts.map((one) => one.dishId),
    words,
    source: SOURCE,
  };
}

/** The lowest water until it is back, and when that is. */
export function dipOf(
  water: readonly { readonly atS: number; readonly celsius: number }[],
  bathC: number,
): { readonly lowestC: number; readonly backS: number | null } {
  let lowestC = bathC;
  for (const { atS, celsius } of water) {
    lowestC = Math.min(lowestC, celsius);
    if (lowestC < bathC - BACK_K && celsius >= bathC - BACK_K) return { lowestC, backS: atS };
  }
  return { lowestC, backS: lowestC < bathC - BACK_K ? null : (water[0]?.atS ?? null) };
}

/** Not yet surely safe when the cold comes, or cooled under the limit for holding food hot. */
function restartsClock(kitchen: Kitchen, joint: Joint, dish: Dish, atS: number, lowestC: number): boolean {
  if (lowestC < limitProfile(kitchen.job.profileId).hotHold.otherC) return true;
  const outcome = joint.outcomes.find((one) => one.dish === dish)!;
  const { safeS } = outcome.safety;
  return safeS === null || outcome.inS + safeS.highS > atS;
}

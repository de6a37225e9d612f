/** The bath's temperature: what the dishes share, what rig and bags stand, and what fits the time there is. */
import { ceilingOf } from '../bag/materials.ts';
import { type Schedule, scheduleAt } from './batches.ts';
import { PlanFault } from './fault.ts';
import { cutOfDish } from './food.ts';
import type { Kitchen } from './kitchen.ts';
import { inText } from './names.ts';
import { type Rig, surelyHeldC } from './rig.ts';
import type { Conflict, Dish } from './types.ts';

/** Hottest core the softening was fitted on, C. */
const MODEL_MAX_C = 88;
/** Kept under boiling: steam lifts bags, C. */
const UNDER_BOILING = 4;

/** Dishes that share a bath, and the temperatures they allow. */
export interface Sharing {
  readonly dishes: readonly Dish[];
  readonly lowC: number;
  readonly wantedC: number;
  readonly highC: number;
  readonly conflicts: readonly Conflict[];
  /** What caps it, in words. */
  readonly capWords: string;
}

/** The hottest that film, liner, boiling, the controller's own limit and the model let the bath be, and why. */
export function capOf(kitchen: Kitchen): { readonly maxC: number; readonly words: string } {
  const { job, balance } = kitchen;
  const { filmId, linerId, setpointMaxC = Number.POSITIVE_INFINITY } = job.rig;
  const film = ceilingOf([filmId, linerId], 60);
  const boiling = balance.boilingC - UNDER_BOILING;
  if (setpointMaxC < Math.min(film.maxC, boiling, MODEL_MAX_C)) {
    return { maxC: Math.floor(setpointMaxC), words: `this controller takes no setpoint above it` };
  }
  if (boiling < film.maxC && boiling < MODEL_MAX_C) {
    return { maxC: Math.floor(boiling), words: `water boils at ${balance.boilingC.toFixed(1)} C here` };
  }
  if (film.maxC <= MODEL_MAX_C)
    return { maxC: film.maxC, words: `${film.limitedBy.name} stands ${film.maxC} C` };
  return { maxC: MODEL_MAX_C, words: `softening is not known above ${MODEL_MAX_C} C` };
}

/**
 * The dishes that share one bath, and those that cannot. With a temperature asked for, those whose range holds it;
 * else the largest set about the dish that takes longest.
 * @throws PlanFault where the temperature asked for is over what bags or liner stand
 */
export function shareBath(kitchen: Kitchen): Sharing {
  const { job } = kitchen;
  const cap = capOf(kitchen);
  if (job.bathC !== null && job.bathC > cap.maxC) {
    throw new PlanFault([
      `bath ${job.bathC} C is over ${cap.maxC} C: ${cap.words}. Ask for less, or take another film or box.`,
    ]);
  }
  if (job.bathC !== null) return shareFixed(job.rig, job.dishes, job.bathC, cap.words);
  const order = [...job.dishes].sort((a, b) => rank(b) - rank(a));
  const kept: Dish[] = [];
  const conflicts: Conflict[] = [];
  let [lowC, highC] = [0, cap.maxC];
  for (const dish of order) {
    const { bath } = dish;
    if (Math.max(lowC, bath.lowC) > Math.min(highC, bath.highC)) {
      const main = kept[0] ?? dish;
      conflicts.push(conflictOf(job.rig, dish, main, `${lowC} to ${highC} C`, main.bath.wantedC));
      continue;
    }
    kept.push(dish);
    lowC = Math.max(lowC, bath.lowC);
    highC = Math.min(highC, bath.highC);
  }
  if (kept.length === 0) {
    throw new PlanFault([
      `no dish can be cooked under ${cap.maxC} C (${cap.words}); take another film or box.`,
    ]);
  }
  const wantedC = Math.min(highC, Math.max(lowC, kept[0]!.bath.wantedC));
  return { dishes: kept, lowC, wantedC, highC, conflicts, capWords: cap.words };
}

/** Tough cuts first: they need the bath longest and can be done nowhere else. */
const rank = (dish: Dish) => (cutOfDish(dish).tendernessClass === null ? 0 : 1);

function shareFixed(rig: Rig, dishes: readonly Dish[], bathC: number, capWords: string): Sharing {
  const fits = (dish: Dish) => bathC >= dish.bath.lowC - 0.5 && bathC <= dish.bath.highC + 0.5;
  // A single dish is cooked as its cook says; among several, those the temperature was not meant for stand aside.
  const kept = dishes.length === 1 || !dishes.some(fits) ? dishes : dishes.filter(fits);
  const conflicts = dishes
    .filter((dish) => !kept.includes(dish))
    .map((dish) => conflictOf(rig, dish, kept[0]!, `${bathC} C`, bathC));
  return { dishes: kept, lowC: bathC, wantedC: bathC, highC: bathC, conflicts, capWords };
}

function conflictOf(rig: Rig, dish: Dish, main: Dish, at: string, mainC: number): Conflict {
  const { lowC, wantedC, highC } = dish.bath;
  const offers = [
    `a second pot of water beside it, at ${wantedC} C`,
    `before: cook it first, chill it in ice, and warm it at ${wantedC} C when ${inText(main)} is out`,
  ];
  if (wantedC < mainC && wantedC > rig.fillC) {
    const litres = coldWaterLitres(rig.waterLitres, mainC, wantedC, rig.fillC);
    offers.push(
      `after: when ${inText(main)} is out, take out ${litres.toFixed(1)} L and pour in as much at ${rig.fillC} C: the bath is then at ${wantedC} C`,
    );
  }
  return {
    dishId: dish.dishId,
    why: `${dish.name} is cooked at ${lowC} to ${highC} C, ${inText(main)} needs ${at}: they cannot share a bath.`,
    offers,
  };
}

/** Cold water to take the place of hot, to bring a bath from one temperature to a lower one, L: by mixing. */
export function coldWaterLitres(bathLitres: number, fromC: number, toC: number, coldC: number): number {
  if (!(toC > coldC && fromC >= toC)) {
    throw new RangeError(
      `from ${fromC} to ${toC} C with water of ${coldC} C; expected falling temperatures.`,
    );
  }
  return (bathLitres * (fromC - toC)) / (fromC - coldC);
}

/** The temperature and the schedule at it. */
export interface Chosen {
  readonly bathC: number;
  readonly why: string;
  readonly schedule: Schedule;
}

/**
 * The temperature and the schedule. Asked for: taken as it is. Else what is wanted; hotter as far as needed where
 * time is short; gentler where the food has to go in before the night and so has longer. Null: the rig cannot.
 */
export function chooseTemperature(
  kitchen: Kitchen,
  sharing: Sharing,
  outMs: (dish: Dish) => number,
): Chosen | null {
  const { dishes } = sharing;
  const { job } = kitchen;
  const highC = Math.min(sharing.highC, surelyHeldC(job.rig, kitchen.balance) - 1);
  const at = (bathC: number) => scheduleAt(kitchen, dishes, bathC, outMs);
  if (job.bathC !== null) {
    const schedule = at(job.bathC);
    return schedule && { bathC: job.bathC, why: 'As asked for.', schedule };
  }
  if (highC < sharing.lowC) return null;
  const usualC = Math.min(sharing.wantedC, Math.floor(highC * 2) / 2);
  const usual = at(usualC);
  if (!usual) return null;
  const whole = (low: number, high: number) => {
    const list: number[] = [];
    for (let c = Math.ceil(low); c <= high; c++) list.push(c);
    return list;
  };
  if (usual.short) {
    const hotter = whole(usualC + 0.5, highC);
    const enough = first(hotter, (bathC) => !(at(bathC)?.short ?? true));
    const bathC = enough ?? hotter.at(-1) ?? usualC;
    const why =
      bathC === usualC
        ? 'The hottest there is for it.'
        : `Hotter than the usual ${usualC} C, because time is short.`;
    return { bathC, why, schedule: at(bathC) ?? usual };
  }
  if (usual.movedFromMs !== null) {
    const startMs = usual.batches[0]!.inMs;
    // The dish with least time to spare is tried first: where it does not fit, no other has to be run.
    const spareMs = (dish: Dish) => outMs(dish) - 1000 * (kitchen.alone(dish, usualC).needS ?? Infinity);
    const tightest = [...dishes].sort((a, b) => spareMs(a) - spareMs(b));
    const fits = (bathC: number) =>
      tightest.every((dish) => {
        const { needS } = kitchen.alone(dish, bathC);
        return needS !== null && startMs + 1000 * needS <= outMs(dish);
      });
    const bathC = first(whole(sharing.lowC, usualC - 0.5), fits) ?? usualC;
    const gentle = bathC < usualC ? scheduleAt(kitchen, dishes, bathC, outMs) : null;
    if (gentle && !gentle.short) {
      const why = `Gentler than the usual ${usualC} C: it goes in before the night and so has longer.`;
      return { bathC, why, schedule: gentle };
    }
  }
  return { bathC: usualC, why: 'Usual for it.', schedule: usual };
}

/** The first of a list, ordered so that once it holds it holds for all after, for which `holds`; by halving. */
function first(list: readonly number[], holds: (value: number) => boolean): number | null {
  let [low, high] = [0, list.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (holds(list[middle]!)) high = middle;
    else low = middle + 1;
  }
  return list[low] ?? null;
}

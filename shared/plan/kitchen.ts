/** What a plan works with: the job, its balance, and each dish alone in the bath, run once for each temperature. */
import type { Balance } from '../bath/losses.ts';
import type { TimeBand } from '../bath/sizing.ts';
import { type History, runBath } from './bath-run.ts';
import { cutOfDish, type Food, foodOf } from './food.ts';
import { donenessOf, type Odds, oddsOf } from './ready.ts';
import { rigBalance, rigHeatUp } from './rig.ts';
import type { Dish, Job } from './types.ts';

/** A dish alone in a bath of one temperature, middle case. Seconds from when it goes in. */
export interface Alone {
  readonly food: Food;
  readonly history: History;
  readonly odds: Odds;
  /** When the odds wanted are reached; null where they are not. */
  readonly needS: number | null;
  /** When its core has come near the water. */
  readonly hotS: number;
}

/** The job with everything computed for it so far. */
export interface Kitchen {
  readonly job: Job;
  readonly balance: Balance;
  /** Odds each dish needs so that all together have the odds wanted, taken as independent. */
  readonly eachFraction: number;
  alone(dish: Dish, bathC: number): Alone;
  food(dish: Dish, bathC: number): Food;
  /** Heating the bath from its fill; null where it never gets there. */
  heatUp(bathC: number): TimeBand | null;
}

/** Longest a run goes on, s. */
export const LONGEST_RUN_S = 30 * 3600;

/** A kitchen for a job. What was computed once is kept as long as it lives. */
export function kitchenFor(job: Job): Kitchen {
  const balance = rigBalance(job.rig);
  const foods = new Map<string, Food>();
  const runs = new Map<string, Alone>();
  const heats = new Map<number, TimeBand | null>();
  const keep = <K, V>(map: Map<K, V>, key: K, make: () => V): V => {
    const kept = map.get(key);
    if (kept !== undefined) return kept;
    const made = make();
    map.set(key, made);
    return made;
  };
  const keyOf = (dish: Dish, bathC: number) => `${dish.dishId}|${dish.thicknessMm}|${bathC}`;
  const kitchen: Kitchen = {
    job,
    balance,
    eachFraction: job.oddsFraction ** (1 / Math.max(1, job.dishes.filter(isTough).length)),
    food: (dish, bathC) => keep(foods, keyOf(dish, bathC), () => foodOf(dish, bathC)),
    alone: (dish, bathC) => keep(runs, keyOf(dish, bathC), () => runAlone(kitchen, dish, bathC)),
    heatUp: (bathC) => keep(heats, bathC, () => rigHeatUp(job.rig, balance, job.rig.fillC, bathC)),
  };
  return kitchen;
}

/** Whether a dish is ready by softening, not by being hot. */
export const isTough = (dish: Dish) => cutOfDish(dish).tendernessClass !== null;

/** A run of this kitchen's bath that begins hot. */
export function hotBath({ job, balance }: Kitchen, bathC: number) {
  return {
    startS: 0,
    waterC: bathC,
    setpointC: bathC,
    balance,
    lidOn: job.rig.lidOn,
    circulation: job.rig.circulation,
    profileId: job.profileId,
  };
}

function runAlone(kitchen: Kitchen, dish: Dish, bathC: number): Alone {
  const { job } = kitchen;
  const food = kitchen.food(dish, bathC);
  const run = runBath(
    { ...hotBath(kitchen, bathC), loads: [{ food, count: dish.piecesCount, inS: 0 }], full: false },
    LONGEST_RUN_S,
  );
  const history = run.histories[0]!;
  const doneness = donenessOf(food.cut.tendernessClass, dish.endpoint, job.beliefs);
  const odds = oddsOf(doneness, history.moments, bathC, 0);
  const hot = history.moments.find((m) => m.coreC >= bathC - 1) ?? history.moments.at(-1)!;
  return { food, history, odds, needS: odds.whenS(kitchen.eachFraction), hotS: hot.atS };
}

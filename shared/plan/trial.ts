/** Bags that are in, carried on at another temperature until they come out: what each would come to. */
import { moistureLoss } from '../tender/moisture.ts';
import type { Ahead } from './ahead.ts';
import { type History, type Load, runBath } from './bath-run.ts';
import type { Piece } from './food.ts';
import type { Kitchen } from './kitchen.ts';
import { donenessOf, hoursAt, NEXT_ENDPOINT, reachedFraction } from './ready.ts';
import type { Plan } from './types.ts';

/** When every bag that is in is surely safe; null where one is not within sight. */
export function safeAllMs(bags: readonly Ahead[], zeroMs: number): number | null {
  const times = bags.map(({ outcome }) =>
    outcome.safety.safeS === null ? null : zeroMs + 1000 * (outcome.inS + outcome.safety.safeS.highS),
  );
  return times.includes(null) ? null : Math.max(...times.map((ms) => ms ?? 0));
}

/** What becomes of the bags at a temperature; each temperature is run once. */
export interface Trial {
  readonly plan: Plan;
  readonly kitchen: Kitchen;
  odds(bathC: number): number;
  overdone(bathC: number): number | null;
  moisture(bathC: number): number | null;
}

const bare = (profile: readonly number[]): Piece => ({ profile: profile.slice(), track: null, ended: null });

/** A trial of bags that are in. A gentler bath begins only once all of them are safe. */
export function trialOf(
  kitchen: Kitchen,
  plan: Plan,
  bags: readonly Ahead[],
  waterC: number,
  zeroMs: number,
): Trial {
  const outS = bags.map(
    (bag) => (plan.dishes.find((dish) => dish.dishId === bag.dish.dishId)!.outMs - zeroMs) / 1000,
  );
  const runs = new Map<number, readonly History[]>();
  const at = (bathC: number): readonly History[] => {
    const kept = runs.get(bathC) ?? carryOn(kitchen, plan, bags, waterC, zeroMs, bathC, outS);
    runs.set(bathC, kept);
    return kept;
  };
  const each = (bathC: number, endpointShift: 0 | 1) =>
    at(bathC).map((history, i) => oddsOfBag(kitchen, bags[i]!, history, outS[i]!, bathC, endpointShift));
  return {
    plan,
    kitchen,
    odds: (bathC) => each(bathC, 0).reduce<number>((product, p) => product * (p ?? 1), 1),
    overdone: (bathC) => {
      const all = each(bathC, 1).filter((p) => p !== null);
      return all.length === 0 ? null : Math.max(...all);
    },
    moisture: (bathC) => {
      const losses = at(bathC).map(({ moments }, i) => {
        const last = moments.at(-1)!;
        const hotS = last.tender.hotS + Math.max(0, outS[i]! - last.atS);
        return moistureLoss({ ...last.tender, hotS })?.highPercent ?? 0;
      });
      return losses.length === 0 ? null : Math.max(...losses);
    },
  };
}

function carryOn(
  kitchen: Kitchen,
  plan: Plan,
  bags: readonly Ahead[],
  waterC: number,
  zeroMs: number,
  bathC: number,
  outS: readonly number[],
): readonly History[] {
  const nowS = (kitchen.job.nowMs - zeroMs) / 1000;
  const safeMs = safeAllMs(bags, zeroMs);
  const safeS = safeMs === null ? nowS : (safeMs - zeroMs) / 1000;
  let loads: Load[] = bags.map(({ soFar, outcome }) => ({
    food: outcome.food,
    count: 1,
    inS: nowS,
    from: { piece: bare(soFar!.piece.profile), tender: soFar!.tender },
  }));
  let [fromS, fromC] = [nowS, waterC];
  if (bathC < plan.bathC && safeS > nowS) {
    const first = stretch(kitchen, nowS, waterC, plan.bathC, loads, safeS);
    fromS = safeS;
    fromC = first.water.at(-1)!.celsius;
    loads = loads.map((load) => {
      const { piece, moments } = first.histories.find((one) => one.load === load)!;
      return { ...load, inS: safeS, from: { piece: bare(piece.profile), tender: moments.at(-1)!.tender } };
    });
  }
  const run = stretch(kitchen, fromS, fromC, bathC, loads, Math.max(fromS + 60, ...outS));
  return loads.map((load) => run.histories.find((one) => one.load === load)!);
}

function stretch(
  { job, balance }: Kitchen,
  startS: number,
  waterC: number,
  setpointC: number,
  loads: readonly Load[],
  untilS: number,
) {
  const { lidOn, circulation } = job.rig;
  const { profileId } = job;
  return runBath(
    { startS, waterC, setpointC, balance, lidOn, circulation, profileId, loads, full: false },
    untilS,
    // A bath on its way down is not settled while the food is still above it.
    (history) => history.moments.at(-1)!.coreC <= setpointC + 0.5,
  );
}

function oddsOfBag(
  kitchen: Kitchen,
  bag: Ahead,
  history: History,
  outS: number,
  bathC: number,
  endpointShift: 0 | 1,
): number | null {
  const { food, odds } = bag.outcome;
  const { endpoint } = bag.dish;
  const doneness = donenessOf(food.cut.tendernessClass, endpoint, kitchen.job.beliefs);
  const asked = endpointShift === 0 ? endpoint : NEXT_ENDPOINT[endpoint];
  if (asked === null) return null;
  if (!doneness.tender) return endpointShift === 0 ? odds.probabilityAt(outS) : null;
  return reachedFraction(doneness, asked, bag.tests, hoursAt(history.moments, outS, bathC));
}

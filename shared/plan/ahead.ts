/** The bags of a running plan: those that are in carried on from the log, those to come from when they go in. */
import type { PieceTests } from '../tender/belief.ts';
import { ceilGrain } from './batches.ts';
import { type History, type Load, type Run, runBath } from './bath-run.ts';
import type { Food } from './food.ts';
import { type Kitchen, LONGEST_RUN_S } from './kitchen.ts';
import type { Measured, MeasuredBag } from './measured.ts';
import { type Outcome, safetyOf } from './outcome.ts';
import { donenessOf, hoursAt, type Odds, oddsOf } from './ready.ts';
import { type SoFar, throughLog } from './so-far.ts';
import type { Dish, Job, Plan } from './types.ts';
import type { WaterRow } from './water-log.ts';
import { inNight } from './zone.ts';

/** One bag with everything known of it, now and ahead. */
export interface Ahead {
  readonly bagId: string;
  readonly dish: Dish;
  readonly inMs: number;
  /** When it was taken out; null: it is in, or still to go in. */
  readonly outMs: number | null;
  readonly soFar: SoFar | null;
  readonly outcome: Outcome;
  readonly tests: PieceTests['tests'];
}

/** The bath from now on. */
export interface BathAhead {
  /** When it is, or was, hot. */
  readonly hotMs: number;
  readonly band: readonly [number, number];
  readonly onMs: number;
  readonly waterC: number;
}

/** All that the bags are carried on with. */
export interface AheadAsked {
  readonly kitchen: Kitchen;
  readonly plan: Plan;
  readonly measured: Measured;
  /** Thinned. */
  readonly rows: readonly WaterRow[];
  readonly bath: BathAhead;
  /** Wall time of the run's second zero. */
  readonly zeroMs: number;
  readonly setpointC: number;
}

interface Entry {
  readonly bagId: string;
  readonly dish: Dish;
  readonly said: MeasuredBag | null;
  readonly food: Food;
  readonly soFar: SoFar | null;
  readonly inMs: number;
}

/** Every bag: those in from the log, those to come at their planned time or when the bath is hot, those out as they left. */
export function bagsAhead(asked: AheadAsked): { readonly bags: Ahead[]; readonly run: Run } {
  const { kitchen, measured, bath, zeroMs, setpointC } = asked;
  const { job, balance } = kitchen;
  const entries = entriesOf(asked);
  const nowS = (measured.nowMs - zeroMs) / 1000;
  const loads = new Map<Entry, Load>();
  for (const entry of entries) {
    const { food, soFar, inMs, said } = entry;
    if (said?.outAtMs != null) continue;
    const from = soFar ? { from: { piece: soFar.piece, tender: soFar.tender } } : {};
    loads.set(entry, { food, count: 1, inS: soFar ? nowS : (inMs - zeroMs) / 1000, ...from });
  }
  const run = runBath(
    {
      startS: nowS,
      waterC: bath.waterC,
      setpointC,
      balance,
      lidOn: job.rig.lidOn,
      circulation: job.rig.circulation,
      profileId: job.profileId,
      loads: [...loads.values()],
      full: true,
    },
    Math.max(nowS, ...[...loads.values()].map((load) => load.inS)) + LONGEST_RUN_S,
    (history) => history.piece.track === null,
  );
  const bags = entries.map((entry) => {
    const load = loads.get(entry);
    const ahead = load ? run.histories.find((one) => one.load === load)! : null;
    const { bagId, dish, inMs, soFar, said } = entry;
    return { bagId, dish, inMs, outMs: said?.outAtMs ?? null, soFar, ...outcomeOf(asked, entry, ahead) };
  });
  return { bags, run };
}

function entriesOf({ kitchen, plan, measured, rows, bath, zeroMs, setpointC }: AheadAsked): Entry[] {
  const { job } = kitchen;
  const of = new Map(measured.bags.map((bag) => [bag.bagId, bag]));
  return plan.dishes.flatMap((dishPlan) => {
    const dish = job.dishes.find((one) => one.dishId === dishPlan.dishId)!;
    const food = kitchen.food(dish, setpointC);
    return dishPlan.bagIds.map((bagId) => {
      const said = of.get(bagId) ?? null;
      const inAtMs = said?.inAtMs ?? null;
      const untilMs = said?.outAtMs ?? measured.nowMs;
      const soFar = inAtMs === null ? null : throughLog(job, food, rows, inAtMs, untilMs, zeroMs);
      const wantedMs = movedIn(plan, job, dishPlan.foodInMs);
      const inMs = inAtMs ?? ceilGrain(Math.max(wantedMs, bath.band[1], measured.nowMs));
      return { bagId, dish, said, food, soFar, inMs };
    });
  });
}

/** When food that is not in yet should go in: with the dinner, where that wakes nobody. */
function movedIn(plan: Plan, { serveByMs, night, zone }: Job, plannedMs: number): number {
  const movedMs = plannedMs + serveByMs - plan.serveByMs;
  return inNight(movedMs, night, zone) ? plannedMs : movedMs;
}

function outcomeOf(
  { kitchen, measured, zeroMs, setpointC }: AheadAsked,
  { dish, food, said, soFar, inMs }: Entry,
  ahead: History | null,
): { readonly outcome: Outcome; readonly tests: PieceTests['tests'] } {
  const inS = (inMs - zeroMs) / 1000;
  const past = soFar?.moments ?? [];
  const moments = ahead ? [...past.slice(0, -1), ...ahead.moments] : past;
  const load = ahead?.load ?? { food, count: 1, inS };
  const history: History = { load: { ...load, inS }, moments, piece: ahead?.piece ?? soFar!.piece };
  const doneness = donenessOf(food.cut.tendernessClass, dish.endpoint, kitchen.job.beliefs);
  const tests: PieceTests['tests'] = (said?.tests ?? []).map(({ atMs, answer }) => ({
    hours: hoursAt(moments, (atMs - zeroMs) / 1000, setpointC),
    answer,
  }));
  const safety = safetyOf(kitchen, history, 0);
  if (said?.outAtMs != null) {
    const leftS = (said.outAtMs - zeroMs) / 1000;
    const odds = leftAt(oddsOf(doneness, moments, setpointC, inS, tests), leftS);
    return { outcome: { dish, food, history, inS, odds, safety, leftS }, tests };
  }
  const fromS = Math.max(inS, (measured.nowMs - zeroMs) / 1000);
  const odds = oddsOf(doneness, moments, setpointC, fromS, tests);
  return { outcome: { dish, food, history, inS, odds, safety }, tests };
}

/** Odds of a piece that was taken out: they stay what they were then. */
function leftAt(odds: Odds, leftS: number): Odds {
  const reached = odds.probabilityAt(leftS);
  return {
    probabilityAt: (atS) => odds.probabilityAt(Math.min(atS, leftS)),
    whenS: (p) => (p > reached ? null : odds.whenS(p)),
    overdoneAt: (atS) => odds.overdoneAt(Math.min(atS, leftS)),
  };
}

/** A dish stands for its bag that is likeliest to be late. */
export function lateOutcomes(plan: Plan, bags: readonly Ahead[], zeroMs: number): Outcome[] {
  return plan.dishes.map((dishPlan) => {
    const own = bags.filter((bag) => bag.dish.dishId === dishPlan.dishId);
    const outS = (dishPlan.outMs - zeroMs) / 1000;
    const odds = (bag: Ahead) => bag.outcome.odds.probabilityAt(outS);
    return own.reduce((a, b) => (odds(b) < odds(a) ? b : a)).outcome;
  });
}

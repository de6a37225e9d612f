/** What becomes of each dish when a schedule is run with all of its loads and hazards: readiness, safety, bands. */
import type { LimitProfile } from '../hazard/profiles.ts';
import { limitProfile } from '../hazard/profiles.ts';
import { standardById } from '../hazard/standards/index.ts';
import { trackResult } from '../hazard/track-view.ts';
import { moistureLoss } from '../tender/moisture.ts';
import type { Schedule } from './batches.ts';
import { type History, type Load, type Moment, type Run, runBath } from './bath-run.ts';
import { type Food, hazardsOf } from './food.ts';
import { hotBath, type Kitchen, LONGEST_RUN_S } from './kitchen.ts';
import { donenessOf, type Odds, oddsOf } from './ready.ts';
import { rigSpread } from './rig.ts';
import type { Banded, Dish, ReadySpan } from './types.ts';

/** How the hazards of one load stand, s from when it went in; null where it does not come to it. */
export interface Safety {
  /** Core through the come-up band: middle, and the two ends of its band. */
  readonly comeUpS: { readonly lowS: number; readonly atS: number; readonly highS: number } | null;
  readonly comeUpWorstS: number;
  readonly comeUpLimitS: number;
  /** Surely safe by its standard, and the earliest it may be. */
  readonly safeS: { readonly lowS: number; readonly atS: number; readonly highS: number } | null;
  readonly rule: string;
  /** Limits broken on the way, in words. */
  readonly broken: readonly string[];
}

/** One dish as it comes out of a run. */
export interface Outcome {
  readonly dish: Dish;
  readonly food: Food;
  readonly history: History;
  /** When it goes in, on the run's clock, s. */
  readonly inS: number;
  readonly odds: Odds;
  readonly safety: Safety;
  /** It was taken out, on the run's clock, s; absent while it is in or still to go in. */
  readonly leftS?: number;
}

/** All dishes run together. */
export interface Joint {
  readonly run: Run;
  /** Wall time of second zero of the run: the first food going in. */
  readonly zeroMs: number;
  readonly outcomes: readonly Outcome[];
}

/** Error of the water probe, either way, C (DS18B20 data sheet): the band of what really happens holds it. */
const PROBE_C = 0.5;
/** A slow rig's missing degree-seconds count against this mean distance of core and water, K. */
const DRIVE_K = 30;

/** Runs a schedule: the middle case alone, or with every hazard. */
export function runSchedule(kitchen: Kitchen, schedule: Schedule, bathC: number, full: boolean): Joint {
  const zeroMs = schedule.batches[0]!.inMs;
  const loads: Load[] = schedule.batches.flatMap(({ inMs, dishes }) =>
    dishes.map((dish) => ({
      food: kitchen.food(dish, bathC),
      count: dish.piecesCount,
      inS: (inMs - zeroMs) / 1000,
    })),
  );
  const run = runBath(
    { ...hotBath(kitchen, bathC), loads, full },
    loads.at(-1)!.inS + LONGEST_RUN_S,
    // With hazards: until the last of them is settled too.
    (history) => !full || history.piece.track === null,
  );
  const lateS = full ? slowRigS(kitchen, run, bathC) : 0;
  const outcomes = run.histories.map((history) => outcomeOf(kitchen, history, bathC, lateS));
  return { run, zeroMs, outcomes };
}

function outcomeOf(kitchen: Kitchen, history: History, bathC: number, lateS: number): Outcome {
  const { food, inS } = history.load;
  const { dish } = food;
  const doneness = donenessOf(food.cut.tendernessClass, dish.endpoint, kitchen.job.beliefs);
  const odds = oddsOf(doneness, history.moments, bathC, inS);
  const safety = safetyOf(kitchen, history, lateS);
  return { dish, food, history, inS, odds, safety };
}

/** How much later a core may be because the rig is weaker than described, s: extra degree-seconds below the setpoint. */
function slowRigS(kitchen: Kitchen, run: Run, bathC: number): number {
  const { balance, job } = kitchen;
  let missing = 0;
  for (let i = 1; i < run.water.length; i++) {
    const [a, b] = [run.water[i - 1]!, run.water[i]!];
    missing += (Math.max(0, bathC - a.celsius) + Math.max(0, bathC - b.celsius)) * 0.5 * (b.atS - a.atS);
  }
  const lossW = balance.loss(bathC, job.rig.lidOn).totalW;
  const { watts, loss } = rigSpread(job.rig);
  const spare = Math.max(1, balance.watts - lossW);
  const weak = Math.max(0.25 * spare, balance.watts * (1 - 2.6 * watts) - lossW * (1 + 2.6 * loss));
  return (missing * ((spare / weak) ** 2 - 1)) / DRIVE_K;
}

/** When a series first reaches a temperature, s; straight between moments; null where it does not. */
export function reachedS(
  moments: readonly Moment[],
  of: (m: Moment) => number,
  celsius: number,
): number | null {
  const after = moments.findIndex((m) => of(m) >= celsius);
  if (after === -1) return null;
  const b = moments[after]!;
  const a = moments[after - 1];
  if (!a) return b.atS;
  const share = (celsius - of(a)) / (of(b) - of(a));
  return a.atS + share * (b.atS - a.atS);
}

/** How the hazards of a load stand. `lateS`: how much later a slower rig would be. */
export function safetyOf(kitchen: Kitchen, history: History, lateS: number): Safety {
  const profile = limitProfile(kitchen.job.profileId);
  const standard = standardById(history.load.food.standardId);
  const track = hazardsOf(history.piece);
  const { inS } = history.load;
  const topC = profile.comeUp.highC;
  const empty = { comeUpS: null, comeUpWorstS: 0, comeUpLimitS: profile.comeUp.limitS, safeS: null };
  if (!track) return { ...empty, rule: standard.name, broken: [] };
  const result = trackResult(track, history.moments.at(-1)!.atS);
  const { moments } = history;
  const middle = reachedS(moments, (m) => m.coreC, topC);
  const slow = reachedS(moments, (m) => m.slowC, topC + PROBE_C);
  const fast = reachedS(moments, (m) => m.fastC, topC - PROBE_C);
  const comeUpS =
    middle === null || slow === null || fast === null
      ? null
      : { lowS: fast - inS, atS: middle - inS, highS: slow + lateS - inS };
  const worst = metS(result.worst.lethality[0]);
  const mid = metS(result.middle.lethality[0]);
  const safeS =
    worst === null || mid === null
      ? null
      : { lowS: fastMetS(mid - inS, worst - inS), atS: mid - inS, highS: worst + lateS - inS };
  return {
    comeUpS,
    comeUpWorstS: result.worst.limits.comeUpS + lateS,
    comeUpLimitS: result.worst.limits.comeUpLimitS,
    safeS,
    rule: standard.name,
    broken: result.worst.limits.breaches.map((b) => b.words),
  };
}

function metS(
  result: { metAtS: number | null; dwell: { metAtS: number | null } | null } | undefined,
): number | null {
  const times = [result?.metAtS, result?.dwell?.metAtS].filter((t) => typeof t === 'number');
  return times.length === 0 ? null : Math.min(...times);
}

/** The fast end mirrors the slow one on the scale of ratios, on which the spreads add. */
const fastMetS = (middleS: number, worstS: number) => middleS ** 2 / worstS;

/** Seconds of a run as wall time with its band. */
export function bandedMs(
  zeroMs: number,
  inS: number,
  span: { readonly lowS: number; readonly atS: number; readonly highS: number } | null,
): Banded | null {
  if (!span) return null;
  const at = (s: number) => Math.round(zeroMs + 1000 * (inS + s));
  return { atMs: at(span.atS), bandMs: [at(span.lowS), at(span.highS)] };
}

/** When a dish is likely ready, in wall time. */
export function readySpan(outcome: Outcome, zeroMs: number): ReadySpan {
  const [p10, p25, p50, p75, p90] = [0.1, 0.25, 0.5, 0.75, 0.9].map((p) => outcome.odds.whenS(p)) as [
    number | null,
    number | null,
    number | null,
    number | null,
    number | null,
  ];
  const ms = (s: number | null) => (s === null ? null : Math.round(zeroMs + 1000 * s));
  const spanRatio = p10 === null || p50 === null || p90 === null ? null : (p90 - p10) / (p50 - outcome.inS);
  return { p10Ms: ms(p10), p25Ms: ms(p25), p50Ms: ms(p50), p75Ms: ms(p75), p90Ms: ms(p90), spanRatio };
}

/** Juice lost by the time it comes out, percent of the raw weight; null where the core never gets hot. */
export function moistureAt(outcome: Outcome, atS: number): ReturnType<typeof moistureLoss> {
  const last = outcome.history.moments.at(-1)!;
  const { tender } = last;
  const untilS = Math.min(atS, outcome.leftS ?? atS);
  return moistureLoss({ ...tender, hotS: tender.hotS + Math.max(0, untilS - last.atS) });
}

/** A long stay in a band that the profile limits, in words; null where there is none. */
export function warmBandFault(profile: LimitProfile, bathC: number, staysS: number): string | null {
  const band = profile.warmBand;
  if (!band || bathC - PROBE_C >= band.highC || bathC + PROBE_C < band.lowC || staysS <= band.limitS)
    return null;
  return `At ${bathC} C the food would stay ${(staysS / 3600).toFixed(0)} h between ${band.lowC} and ${band.highC} C; ${profile.name} allows ${band.limitS / 3600} h (${band.source}).`;
}

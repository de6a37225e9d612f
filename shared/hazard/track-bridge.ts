import { coreC, stepProfile } from '../food/conduction.ts';
import type { Film } from '../food/film.ts';
import { memberFilm } from './envelope.ts';
import type { GrowthModel } from './growth-models.ts';
import { addLethality, type LethalityState, lesserLethality } from './lethality.ts';
import type { LimitState } from './limits.ts';
import type { Track } from './track.ts';
import { FAST, MIDDLE, SLOW } from './track-cores.ts';
import {
  kill,
  phaseOf,
  type Records,
  recordsOf,
  stepLane,
  stepMiddle,
  type WaterStretch,
} from './track-step.ts';

/** Water that nobody measured, in one step of time: the coldest, the likely and the warmest it may have been, C at both ends. */
export interface UnseenStep {
  readonly seconds: number;
  readonly cold: readonly [from: number, to: number];
  readonly middle: readonly [from: number, to: number];
  readonly warm: readonly [from: number, to: number];
}

/** A stretch that nobody watched. Its length is known between two bounds: the steps go to the longest. */
export interface Unseen {
  readonly steps: readonly UnseenStep[];
  /** It lasted at least so long: heat is credited within this only, s. */
  readonly leastS: number;
  /** So long the middle case is carried; 0 leaves it as it was, s. */
  readonly middleS: number;
  /** The caller's clock goes on by so much, s. */
  readonly countsS: number;
  /** The caller's clock at its beginning, s. */
  readonly fromS: number;
  /** Film about the bag, quickest and slowest that it may have been. */
  readonly quick: Film;
  readonly slow: Film;
}

/** Five bodies in place of three: what heats slowest also cools slowest, so either may be the coldest. */
interface Bodies {
  readonly slowCold: readonly number[];
  readonly fastCold: readonly number[];
  readonly middle: readonly number[];
  readonly slowWarm: readonly number[];
  readonly fastWarm: readonly number[];
}

const lower = (a: readonly number[], b: readonly number[]) => a.map((value, i) => Math.min(value, b[i]!));
const upper = (a: readonly number[], b: readonly number[]) => a.map((value, i) => Math.max(value, b[i]!));

/**
 * Carries a bag through water that nobody measured, as an envelope. Each hazard takes its own worst:
 * - lethality goes along the coldest core that any case may have had, and is credited for the shortest time only;
 * - growth takes, at each moment, the quickest rate of any core between the coldest and the hottest, for the longest time;
 * - limits count the time in which any food may have been in their band, for the longest time.
 * Afterwards the slow case goes on from the coldest, the fast one from the hottest that the food may be.
 */
export function bridgeTrack(track: Track, unseen: Unseen): Track {
  const records = recordsOf(track.setup);
  const [slow, middle, fast] = track.profiles;
  let bodies: Bodies = {
    slowCold: slow!,
    fastCold: fast!,
    middle: middle!,
    slowWarm: slow!,
    fastWarm: fast!,
  };
  let next = track;
  let ended: { cold: readonly number[]; warm: readonly number[] } | null = null;
  let goneS = 0;
  for (const step of unseen.steps) {
    const after = stepBodies(track, bodies, step, unseen, goneS + step.seconds <= unseen.middleS + 1e-6);
    next = stepHazards(records, next, coresOf(bodies), coresOf(after), step, unseen, goneS);
    bodies = after;
    goneS += step.seconds;
    // It may have ended at any moment from here on.
    if (goneS < unseen.leastS - 1e-6) continue;
    const [cold, warm] = [lower(bodies.slowCold, bodies.fastCold), upper(bodies.slowWarm, bodies.fastWarm)];
    ended = ended ? { cold: lower(ended.cold, cold), warm: upper(ended.warm, warm) } : { cold, warm };
  }
  const worst = { ...next.worst, lethality: next.worst.lethality.map((one) => heldLess(one, unseen)) };
  next = { ...next, worst };
  if (!ended) return next;
  const profiles = [lower(ended.cold, bodies.middle), bodies.middle, upper(ended.warm, bodies.middle)];
  return { ...next, profiles, hottestC: Math.max(next.hottestC, coreC(bodies.middle)) };
}

function stepBodies(
  track: Track,
  bodies: Bodies,
  step: UnseenStep,
  unseen: Unseen,
  inMiddle: boolean,
): Bodies {
  const { members } = track.setup;
  const one = (
    member: number,
    body: readonly number[],
    film: Film,
    [fromC, toC]: readonly [number, number],
  ) =>
    stepProfile(
      track.grids[member]!,
      body,
      { film: memberFilm(members[member]!, film), fromC, toC },
      step.seconds,
    );
  const { quick, slow } = unseen;
  return {
    // Food that is colder than the water warms least behind the slow film, and cools most behind the quick one.
    slowCold: lower(
      one(SLOW, bodies.slowCold, slow, step.cold),
      one(SLOW, bodies.slowCold, quick, step.cold),
    ),
    fastCold: lower(
      one(FAST, bodies.fastCold, slow, step.cold),
      one(FAST, bodies.fastCold, quick, step.cold),
    ),
    middle: inMiddle ? one(MIDDLE, bodies.middle, slow, step.middle) : bodies.middle,
    slowWarm: upper(
      one(SLOW, bodies.slowWarm, slow, step.warm),
      one(SLOW, bodies.slowWarm, quick, step.warm),
    ),
    fastWarm: upper(
      one(FAST, bodies.fastWarm, slow, step.warm),
      one(FAST, bodies.fastWarm, quick, step.warm),
    ),
  };
}

/** Coldest, middle and hottest core in the places of the slow, the middle and the fast case. */
function coresOf(bodies: Bodies): readonly [number, number, number] {
  const middleC = coreC(bodies.middle);
  return [
    Math.min(coreC(bodies.slowCold), coreC(bodies.fastCold), middleC),
    middleC,
    Math.max(coreC(bodies.slowWarm), coreC(bodies.fastWarm), middleC),
  ];
}

type Cores = readonly [number, number, number];

function stepHazards(
  records: Records,
  track: Track,
  before: Cores,
  after: Cores,
  step: UnseenStep,
  unseen: Unseen,
  goneS: number,
): Track {
  const { seconds } = step;
  const atS = unseen.fromS + goneS + seconds;
  const [fromC, toC] = step.middle;
  const water: WaterStretch = { fromC, toC, seconds, atS, film: unseen.slow, cooling: false };
  const error = track.setup.probeErrorC;
  const { worst } = track;
  const phase = phaseOf(false, worst.lethality[0]);
  const coldest = { fromC: before[SLOW] - error, toC: after[SLOW] - error };
  // Once it may be over, a dwell still ends where the core falls too low, yet no more time is credited.
  const creditS = Math.min(seconds, Math.max(0, unseen.leastS - goneS));
  const creditedAtS = unseen.fromS + Math.min(goneS + seconds, unseen.leastS);
  const lethality =
    creditS > 0
      ? kill(records.slower, worst.lethality, coldest, { ...water, seconds: creditS, atS: creditedAtS })
      : worst.lethality.map((s, i) =>
          addLethality(records.slower[i]!, s, coldest.toC, coldest.toC, UNCREDITED_S, creditedAtS),
        );
  const limits = [SLOW, FAST].map((outer, lane) =>
    stepLane(records, track, worst.limits[lane]!, outer, before, after, water, phase),
  ) as unknown as Track['worst']['limits'];
  const growth = { ...worst.growth, warming: grown(records, track, before, after, seconds) };
  const within = goneS + seconds <= unseen.middleS + 1e-6;
  const middle = within ? stepMiddle(records, track, before[MIDDLE], after[MIDDLE], water) : track.middle;
  return { ...track, middle, worst: { lethality, limits, growth } };
}

/**
 * Of two courses that the same bag may have had, the worse in every respect: the lower lethality, the more growth, the
 * longer times, and an envelope about both. The middle case is that of the first.
 */
export function worseTrack(likely: Track, other: Track): Track {
  const [a, b] = [likely.worst, other.worst];
  const profiles = [
    lower(likely.profiles[SLOW]!, other.profiles[SLOW]!),
    likely.profiles[MIDDLE]!,
    upper(likely.profiles[FAST]!, other.profiles[FAST]!),
  ];
  const most = (x: readonly number[], y: readonly number[]) => x.map((value, i) => Math.max(value, y[i]!));
  return {
    ...likely,
    profiles,
    worst: {
      lethality: a.lethality.map((one, i) => lesserLethality(one, b.lethality[i]!)),
      limits: [worseLimits(a.limits[0], b.limits[0]), worseLimits(a.limits[1], b.limits[1])],
      growth: { ...a.growth, warming: most(a.growth.warming, b.growth.warming) },
    },
  };
}

function worseLimits(a: LimitState, b: LimitState): LimitState {
  const known = new Set(a.breaches.map(({ limit }) => limit));
  const never = a.comeUpDoneAtS === null || b.comeUpDoneAtS === null;
  const lowest = [a.lowestHoldC, b.lowestHoldC].filter((c) => c !== null);
  return {
    comeUpS: Math.max(a.comeUpS, b.comeUpS),
    comeUpDoneAtS: never ? null : Math.max(a.comeUpDoneAtS ?? 0, b.comeUpDoneAtS ?? 0),
    dangerS: Math.max(a.dangerS, b.dangerS),
    warmS: Math.max(a.warmS, b.warmS),
    held: a.held || b.held,
    belowHoldS: Math.max(a.belowHoldS, b.belowHoldS),
    lowestHoldC: lowest.length > 0 ? Math.min(...lowest) : null,
    cooling: a.cooling,
    breaches: [...a.breaches, ...b.breaches.filter(({ limit }) => !known.has(limit))],
  };
}

/** A dwell goes by the clock: what of the clock's leap may not have passed is taken off what was held. */
function heldLess(one: LethalityState, { countsS, leastS }: Unseen): LethalityState {
  const { dwell } = one;
  const byS = countsS - leastS;
  if (dwell === null || byS <= 0) return one;
  const dueS = dwell.dueS === null ? null : dwell.dueS + byS;
  return { ...one, dwell: { ...dwell, sinceS: dwell.sinceS.map((since) => since + byS), dueS } };
}

/** Too short to credit anything, long enough for a dwell to see the temperature. */
const UNCREDITED_S = 1e-9;

/** The growth sums with the quickest rate that any core between the coldest and the hottest may have had added to each path. */
function grown(
  { models }: Records,
  track: Track,
  before: Cores,
  after: Cores,
  seconds: number,
): readonly number[] {
  const error = track.setup.probeErrorC;
  const low = Math.min(before[SLOW], after[SLOW]) - error;
  const high = Math.max(before[FAST], after[FAST]) + error;
  const most = models.map((model) => (quickest(model, low, high) * seconds) / 3600);
  return track.worst.growth.warming.map((sum, i) => sum + most[i % 2]!);
}

const optima = new WeakMap<GrowthModel, number>();

/** The quickest rate of a model between two temperatures, ln units an hour: at its optimum, or the end nearest to that. */
function quickest(model: GrowthModel, lowC: number, highC: number): number {
  let best = optima.get(model);
  if (best === undefined) {
    best = model.minC;
    for (let c = model.minC; c <= model.maxC; c += 0.05)
      if (model.ratePerH(c) > model.ratePerH(best)) best = c;
    optima.set(model, best);
  }
  const at = Math.min(highC, Math.max(lowC, best));
  return at <= model.minC || at >= model.maxC ? 0 : Math.max(0, model.ratePerH(at));
}

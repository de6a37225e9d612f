/**
 * When a piece is ready, as odds along a run of the bath. Tough cuts by softening (`shared/tender`); tender ones are
 * ready when the core has come to the bath's temperature.
 */
import { type Belief, type PieceTests, priorBelief, readyProbability } from '../tender/belief.ts';
import { ENDPOINT_FACTOR, type Endpoint, type TenderClass, tenderClass } from '../tender/classes.ts';
import { EA_VALUES, tenderRate } from '../tender/kinetics.ts';
import { normalCdf } from '../tender/normal.ts';
import { normalQuantile } from '../units/random.ts';
import type { Moment } from './bath-run.ts';

/** What readiness goes by. */
export interface Doneness {
  /** Null: tender, ready when hot. */
  readonly tender: TenderClass | null;
  readonly belief: Belief | null;
  readonly endpoint: Endpoint;
}

/** The doneness of a cut's class, with what this kitchen has learned of it. */
export function donenessOf(
  classId: string | null,
  endpoint: Endpoint,
  beliefs: Readonly<Record<string, Belief>>,
): Doneness {
  if (classId === null) return { tender: null, belief: null, endpoint };
  const tender = tenderClass(classId);
  return { tender, belief: beliefs[classId] ?? priorBelief(tender), endpoint };
}

/** Odds of being ready over time. Seconds on the run's clock. */
export interface Odds {
  probabilityAt(atS: number): number;
  /** When the odds reach `p`; null where they do not within the horizon. */
  whenS(p: number): number | null;
  /** Chance of having gone on to the next endpoint; null where there is none. */
  overdoneAt(atS: number): number | null;
}

/** How far ahead odds are asked for, s. */
export const HORIZON_S = 96 * 3600;
/** A tender piece is done when its core is this near the water, K. */
export const DONE_NEAR_K = 1;
/**
 * Standard deviation of ln(time) for the heating of a tender piece: thickness 5 %, which counts twice, diffusivity
 * 6 %, film about 4 % (the spreads of shared/hazard/envelope.ts).
 */
const HEATING_SIGMA = 0.12;

/** A core that ended this near the water goes on to it, K. */
const ARRIVES_K = 0.5;

/**
 * Softening of a core at a time, one value for each activation energy. Beyond the run the core is at the water's
 * temperature where it had nearly come to it, else where it ended.
 */
export function hoursAt(moments: readonly Moment[], atS: number, waterC: number): readonly number[] {
  const last = moments.at(-1)!;
  if (atS >= last.atS) {
    const more = (atS - last.atS) / 3600;
    const thenC = Math.abs(waterC - last.coreC) < ARRIVES_K ? waterC : last.coreC;
    return last.tender.hours.map((h, k) => h + more * tenderRate(thenC, EA_VALUES[k]!));
  }
  const first = moments[0]!;
  if (atS <= first.atS) return first.tender.hours;
  let [low, high] = [0, moments.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (moments[middle]!.atS <= atS) low = middle;
    else high = middle;
  }
  const [a, b] = [moments[low]!, moments[high]!];
  const share = (atS - a.atS) / (b.atS - a.atS);
  return a.tender.hours.map((h, k) => h + share * (b.tender.hours[k]! - h));
}

/** The endpoint after one; null after the last. */
export const NEXT_ENDPOINT: Readonly<Record<Endpoint, Endpoint | null>> = {
  sliceable: 'fork-tender',
  'fork-tender': 'shreds',
  shreds: null,
};

/**
 * Chance of having reached another endpoint than the one tested for: the same softening counts for less (or more) of
 * the way, and what the fork said of the one says as much of the other.
 */
export function reachedFraction(
  { tender, belief, endpoint }: Doneness,
  other: Endpoint,
  tests: PieceTests['tests'],
  hours: readonly number[],
): number | null {
  if (!tender || !belief) return null;
  const share = ENDPOINT_FACTOR[endpoint] / ENDPOINT_FACTOR[other];
  const scaled = hours.map((h) => h * share);
  return readyProbability(tender, belief, { endpoint, tests }, scaled);
}

/**
 * The odds of a piece along a run. `tests`: fork tests made so far, each with its hours; none while planning.
 * `fromS`: odds are asked for from then on (now, or when the food goes in).
 */
export function oddsOf(
  doneness: Doneness,
  moments: readonly Moment[],
  waterC: number,
  fromS: number,
  tests: PieceTests['tests'] = [],
): Odds {
  const { tender, belief, endpoint } = doneness;
  if (!tender || !belief) return heatingOdds(moments, waterC, fromS);
  const probabilityAt = (atS: number) =>
    readyProbability(tender, belief, { endpoint, tests }, hoursAt(moments, atS, waterC));
  const next = NEXT_ENDPOINT[endpoint];
  return {
    probabilityAt,
    whenS: solver(probabilityAt, moments[0]!.atS, fromS),
    overdoneAt: (atS) =>
      next === null ? null : reachedFraction(doneness, next, tests, hoursAt(moments, atS, waterC)),
  };
}

interface Known {
  readonly atS: number;
  readonly p: number;
}

const probit = (p: number) => normalQuantile(Math.min(1 - 1e-9, Math.max(1e-9, p)));

/**
 * When odds that never fall reach a value: bracketed by what was asked before, then by the probit against the
 * logarithm of time, on which a log-normal is nearly a straight line, so that few evaluations are needed.
 */
function solver(probabilityAt: (atS: number) => number, startS: number, fromS: number) {
  const known: Known[] = [];
  const ask = (atS: number): Known => {
    const found = { atS, p: probabilityAt(atS) };
    const after = known.findIndex((k) => k.atS > atS);
    known.splice(after === -1 ? known.length : after, 0, found);
    return found;
  };
  const log = (atS: number) => Math.log(Math.max(1, atS - startS));
  return (p: number): number | null => {
    if (known.length === 0) {
      ask(fromS);
      ask(fromS + HORIZON_S);
    }
    if (known[0]!.p >= p) return fromS;
    if (known.at(-1)!.p < p) return null;
    const wanted = probit(p);
    for (let i = 0; ; i++) {
      const after = known.findIndex((k) => k.p >= p);
      const [low, high] = [known[after - 1]!, known[after]!];
      const [zLow, zHigh] = [probit(low.p), probit(high.p)];
      const share = (wanted - zLow) / (zHigh - zLow);
      const straight = startS + Math.exp(log(low.atS) + share * (log(high.atS) - log(low.atS)));
      if (i >= 24 || high.atS - low.atS < 30) return straight;
      // A straight line may creep from one side: every third step halves instead.
      const inside = straight > low.atS && straight < high.atS;
      const tryS = i % 3 === 2 || !inside ? (low.atS + high.atS) / 2 : straight;
      if (Math.abs(ask(tryS).p - p) < 3e-4) return tryS;
    }
  };
}

function heatingOdds(moments: readonly Moment[], waterC: number, fromS: number): Odds {
  const startS = moments[0]!.atS;
  const done = moments.find((m) => m.coreC >= waterC - DONE_NEAR_K);
  const middleS = done ? Math.max(60, done.atS - startS) : null;
  const at = (atS: number) =>
    middleS === null || atS <= startS ? 0 : normalCdf(Math.log((atS - startS) / middleS) / HEATING_SIGMA);
  return {
    probabilityAt: at,
    whenS: (p) => {
      if (middleS === null) return null;
      const when = startS + middleS * Math.exp(HEATING_SIGMA * normalQuantile(p));
      return Math.max(fromS, when);
    },
    overdoneAt: () => null,
  };
}

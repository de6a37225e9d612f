import type { CoolingState, LegState } from './cooling.ts';
import { rateIntegral } from './growth.ts';
import type { GrowthModel } from './growth-models.ts';
import { interruptLethality } from './lethality.ts';
import { type Breach, coolingBreach, type LimitState } from './limits.ts';
import type { CoolingLeg, CoolingRule, LimitProfile } from './profiles.ts';
import type { Track } from './track.ts';
import { GROWTH_PATHS } from './track-cores.ts';
import { recordsOf } from './track-step.ts';

/** A reading of the core entered by hand while the food cools. Seconds on the caller's clock. */
export interface ChillReading {
  readonly atS: number;
  readonly celsius: number;
  /** Largest error of the thermometer either way, K. */
  readonly errorC: number;
}

/**
 * A cooling record: when the food left the heat, how hot its core may have been then, and what was read since. Nothing
 * is known between the readings. Plain data.
 */
export interface ChillRecord {
  readonly startS: number;
  /** The core as it was taken out, coldest and hottest it may have been, C. */
  readonly lowC: number;
  readonly highC: number;
  /** In order of time. */
  readonly readings: readonly ChillReading[];
}

/** So long after it was taken a reading may still be entered, s: until then a leg over its time counts as overdue. */
export const LATE_ENTRY_S = 3600;

/** The record with one reading more. */
export function withReading(record: ChillRecord, reading: ChillReading): ChillRecord {
  const readings = [...record.readings, reading].sort((a, b) => a.atS - b.atS);
  return { ...record, readings };
}

interface Point {
  readonly atS: number;
  readonly lowC: number;
  readonly highC: number;
}

function pointsOf({ startS, lowC, highC, readings }: ChillRecord): Point[] {
  const read = readings.map(({ atS, celsius, errorC }) => ({
    atS,
    lowC: celsius - errorC,
    highC: celsius + errorC,
  }));
  return [{ atS: startS, lowC, highC }, ...read];
}

/**
 * What the readings say of each leg of each rule, on the side that is worse for the food: a leg begins with the last
 * point at which the core was surely above its top, and ends with the first at which it was surely at its foot,
 * after the last at which it was surely above it.
 */
export function chillState(rules: readonly CoolingRule[], record: ChillRecord): CoolingState {
  const points = pointsOf(record);
  return {
    startS: record.startS,
    graceS: LATE_ENTRY_S,
    rules: rules.map((rule) => rule.legs.map((leg) => legOf(rule.legs, leg, points))),
  };
}

function legOf(legs: readonly CoolingLeg[], leg: CoolingLeg, points: readonly Point[]): LegState {
  const below = points.findIndex(({ lowC }) => lowC <= leg.fromC);
  // A leg that follows another waits for its top to be seen; the first may have begun right after the last point.
  const follows = legs.some((other) => leg.fromC <= other.toC);
  if (below === -1 && follows) return { fromS: null, toS: null };
  const before = below === -1 ? points.at(-1) : points[Math.max(0, below - 1)];
  const fromS = before!.atS;
  // A reading surely above the foot says that a colder one before it was not of the core, or that the food warmed again.
  const lastAbove = points.findLastIndex(({ lowC }) => lowC > leg.toC);
  const reached = points.slice(lastAbove + 1).find(({ atS, highC }) => atS >= fromS && highC <= leg.toC);
  if (reached) return { fromS, toS: reached.atS };
  return { fromS, toS: null, aboveAtS: points.at(-1)!.atS };
}

/** Growth along straight lines from reading to reading, each as hot as it may have been: integrals of both models' rates. */
export function chillGrowth(models: readonly GrowthModel[], record: ChillRecord): number[] {
  const points = pointsOf(record);
  return models.map((model) =>
    points.slice(1).reduce((sum, point, i) => {
      const from = points[i]!;
      return sum + rateIntegral(model, from.highC, point.highC, point.atS - from.atS);
    }, 0),
  );
}

/** The food has left the heat: holds that were running end, and what was met stays met. */
export function leaveHeat(track: Track): Track {
  const { middle, worst } = track;
  return {
    ...track,
    middle: { ...middle, lethality: middle.lethality.map(interruptLethality) },
    worst: { ...worst, lethality: worst.lethality.map(interruptLethality) },
  };
}

/** A track with its cooling and the growth in it as the record has them. */
export function judgeChill(track: Track, record: ChillRecord): Track {
  const { profile, models } = recordsOf(track.setup);
  const cooling = chillState(profile.cooling, record);
  const [first = 0, second = 0] = chillGrowth(models, record);
  const cooled = (limits: LimitState): LimitState => ({ ...limits, cooling });
  const { middle, worst } = track;
  return {
    ...track,
    middle: {
      ...middle,
      limits: cooled(middle.limits),
      growth: { ...middle.growth, cooling: [first, second] },
    },
    worst: {
      ...worst,
      limits: [cooled(worst.limits[0]), cooled(worst.limits[1])],
      growth: { ...worst.growth, cooling: GROWTH_PATHS.flatMap(() => [first, second]) },
    },
  };
}

/** A cooling rule broken by `atS`; null while none is, or where it is known already. */
export function chillBreach(profile: LimitProfile, track: Track, atS: number): Breach | null {
  const [lane] = track.worst.limits;
  if (lane.cooling === null || lane.breaches.some(({ limit }) => limit === 'cooling')) return null;
  return coolingBreach(profile, lane.cooling, atS);
}

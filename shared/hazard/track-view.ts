import { coreC } from '../food/conduction.ts';
import type { CoolingResult } from './cooling.ts';
import { GROWTH_CEILING_LOG10, type GrowthResult, growthResult } from './growth.ts';
import { type LethalityResult, lethalityResult } from './lethality.ts';
import { type LimitResult, limitResult } from './limits.ts';
import type { Track } from './track.ts';
import { type CoreSpan, GROWTH_PATHS, MIDDLE, mostGrown, spanOf } from './track-cores.ts';
import { recordsOf } from './track-step.ts';

/** How a bag stands: the middle case, and each hazard on its own worst. */
export interface TrackResult {
  readonly profile: string;
  readonly core: { readonly middleC: number } & CoreSpan;
  readonly middle: { lethality: readonly LethalityResult[]; growth: GrowthResult; limits: LimitResult };
  readonly worst: { lethality: readonly LethalityResult[]; growth: GrowthResult; limits: LimitResult };
}

/** The core of a bag: middle, and the coldest and hottest it may be with the probe's error, C. Cheap enough for each second. */
export function trackCore(track: Track): TrackResult['core'] {
  const cores = track.profiles.map(coreC);
  const { lowC, highC } = spanOf(cores);
  const error = track.setup.probeErrorC;
  return { middleC: cores[MIDDLE]!, lowC: lowC - error, highC: highC + error };
}

/** Puts a whole track into words and numbers at time `atS`. For pages and records; too slow for every second. */
export function trackResult(track: Track, atS: number): TrackResult {
  const { standards, slower, profile, models } = recordsOf(track.setup);
  const { middle, worst } = track;
  const pair = (sums: readonly number[], i: number) => [sums[2 * i]!, sums[2 * i + 1]!] as const;
  const results = GROWTH_PATHS.map((_, i) =>
    growthResult(models, { warming: pair(worst.growth.warming, i), cooling: pair(worst.growth.cooling, i) }),
  );
  const most = (of: (r: GrowthResult) => number) =>
    Math.min(GROWTH_CEILING_LOG10, mostGrown(results.map(of)));
  const limits = worst.limits.map((state) => limitResult(profile, state, atS));
  return {
    profile: profile.name,
    core: trackCore(track),
    middle: {
      lethality: standards.map((s, i) => lethalityResult(s, middle.lethality[i]!, atS)),
      growth: growthResult(models, middle.growth),
      limits: limitResult(profile, middle.limits, atS),
    },
    worst: {
      lethality: slower.map((s, i) => lethalityResult(s, worst.lethality[i]!, atS)),
      growth: {
        ...results[0]!,
        log10: most((r) => r.log10),
        warmingLog10: most((r) => r.warmingLog10),
        coolingLog10: most((r) => r.coolingLog10),
        models: models.map((m, i) => ({
          name: m.name,
          source: m.source,
          log10: most((r) => r.models[i]!.log10),
        })),
      },
      limits: limits.reduce(worseLimits),
    },
  };
}

/** Of two lanes the worse in each respect. */
function worseLimits(a: LimitResult, b: LimitResult): LimitResult {
  const breaches = [...a.breaches];
  for (const breach of b.breaches) {
    const at = breaches.findIndex((x) => x.limit === breach.limit);
    if (at === -1) breaches.push(breach);
    else if (breach.atS < breaches[at]!.atS) breaches[at] = breach;
  }
  return {
    comeUpS: Math.max(a.comeUpS, b.comeUpS),
    comeUpLimitS: a.comeUpLimitS,
    comeUpDoneAtS:
      a.comeUpDoneAtS === null || b.comeUpDoneAtS === null
        ? null
        : Math.max(a.comeUpDoneAtS, b.comeUpDoneAtS),
    dangerS: Math.max(a.dangerS, b.dangerS),
    warmS: Math.max(a.warmS, b.warmS),
    held: a.held && b.held,
    belowHoldS: Math.max(a.belowHoldS, b.belowHoldS),
    lowestHoldC: lowest(a.lowestHoldC, b.lowestHoldC),
    cooling: a.cooling && b.cooling ? a.cooling.map((rule, i) => worseCooling(rule, b.cooling![i]!)) : null,
    breaches: breaches.sort((x, y) => x.atS - y.atS),
  };
}

function lowest(a: number | null, b: number | null): number | null {
  if (a === null) return b;
  return b === null ? a : Math.min(a, b);
}

const RANK = { met: 0, waiting: 1, running: 2, overdue: 3, broken: 4 } as const;

function worseCooling(a: CoolingResult, b: CoolingResult): CoolingResult {
  const legs = a.legs.map((leg, i) => {
    const other = b.legs[i]!;
    if (RANK[leg.status] !== RANK[other.status]) return RANK[leg.status] > RANK[other.status] ? leg : other;
    return (leg.elapsedS ?? 0) >= (other.elapsedS ?? 0) ? leg : other;
  });
  return { ...a, status: RANK[a.status] >= RANK[b.status] ? a.status : b.status, legs };
}

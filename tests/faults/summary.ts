import type { FaultResult } from './fault-run.ts';
import type { HealthyResult } from './healthy.ts';
import type { JobResult } from './job.ts';
import type { Kind } from './kind.ts';
import { KINDS } from './kinds.ts';

/** At most so many in a thousand sound cooks. */
const FALSE_TRIPS = 1;
const FALSE_HIGH = 5;

/** What became of one kind over its seeds. */
export interface KindSummary {
  readonly kind: Kind;
  readonly runs: number;
  /** Runs that kept every limit that is not excused. */
  readonly kept: number;
  /** The alarms that named it first, the most frequent first, with their count. */
  readonly detectedBy: readonly (readonly [string, number])[];
  readonly medianS: number | null;
  readonly worstS: number | null;
  readonly peakC: number;
  readonly worstOverC: number;
  /** Of each excused limit: the share of seeds that kept it. */
  readonly excused: readonly {
    readonly limit: string;
    readonly why: string;
    readonly share: number;
    readonly floor: number;
  }[];
}

/** What became of the sound cooks. */
export interface HealthySummary {
  readonly cooks: number;
  readonly falseTrips: number;
  readonly falseHigh: number;
  readonly rang: readonly (readonly [string, number])[];
}

const isExcused = (kind: Kind, limit: string) => kind.excuses?.some((one) => one.limit === limit) === true;

/** Whether a run broke a limit that nothing excuses. */
export const failed = (kind: Kind, result: FaultResult) =>
  result.broken.some((one) => !isExcused(kind, one.limit));

function counted(names: readonly string[]): [string, number][] {
  const counts = new Map<string, number>();
  for (const name of names) counts.set(name, (counts.get(name) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1]);
}

/** Sums up one kind. */
export function summaryOf(kind: Kind, results: readonly FaultResult[]): KindSummary {
  const named = results.flatMap((one) => (one.namedS === null ? [] : [one.namedS])).sort((a, b) => a - b);
  return {
    kind,
    runs: results.length,
    kept: results.filter((one) => !failed(kind, one)).length,
    detectedBy: counted(results.flatMap((one) => (one.namedBy === null ? [] : [one.namedBy]))),
    medianS: named[Math.floor((named.length - 1) / 2)] ?? null,
    worstS: named.length === results.length ? (named.at(-1) ?? null) : null,
    peakC: Math.max(...results.map((one) => one.outcome.peakC)),
    worstOverC: Math.max(...results.map((one) => one.outcome.overLimitC)),
    excused: (kind.excuses ?? []).map(({ limit, why, floor }) => {
      const kept = results.filter((one) => !one.broken.some((broken) => broken.limit === limit)).length;
      return { limit, why, floor, share: results.length > 0 ? kept / results.length : 1 };
    }),
  };
}

/** Sums up the sound cooks. */
export function healthySummary(results: readonly HealthyResult[]): HealthySummary {
  const rang = counted(
    results.flatMap((one) => Object.entries(one.rang).flatMap(([id, n]) => Array(n).fill(id))),
  );
  return {
    cooks: results.length,
    falseTrips: results.reduce((sum, one) => sum + one.falseTrips.length, 0),
    falseHigh: results.reduce((sum, one) => sum + one.falseHigh.length, 0),
    rang,
  };
}

/** Everything that fails the campaign, in words that end with how to repeat it; empty = passed. */
export function failures(results: readonly JobResult[]): string[] {
  const lines: string[] = [];
  for (const { failed: words } of results) if (words !== null) lines.push(words);
  for (const kind of KINDS) {
    const own = results.flatMap((one) => (one.fault?.kind === kind.id ? [one.fault] : []));
    for (const result of own) {
      if (!failed(kind, result)) continue;
      const texts = result.broken.filter((one) => !isExcused(kind, one.limit)).map((one) => one.text);
      lines.push(`${kind.id}: ${texts.join('; ')}. ${repeat(kind.id, result.seed)}`);
    }
    if (own.length < 10) continue;
    for (const { limit, share, floor } of summaryOf(kind, own).excused) {
      if (share < floor)
        lines.push(
          `${kind.id}: "${limit}" kept in ${Math.round(100 * share)} %, below its floor of ${Math.round(100 * floor)} %.`,
        );
    }
  }
  const healthy = results.flatMap((one) => (one.healthy ? [one.healthy] : []));
  const sum = healthySummary(healthy);
  const most = (aThousand: number) => Math.max(aThousand, Math.floor((aThousand * sum.cooks) / 1000));
  if (sum.falseTrips > most(FALSE_TRIPS) || sum.falseHigh > most(FALSE_HIGH)) {
    for (const { seed, falseTrips, falseHigh } of healthy)
      for (const text of [...falseTrips, ...falseHigh])
        lines.push(`sound cook: ${text} ${repeat('sound cook', seed)}`);
  }
  return lines;
}

const repeat = (kind: string, seed: number) => `Repeat: npm run campaign -- --kind "${kind}" --seed ${seed}`;

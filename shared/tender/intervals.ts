import type { PieceTests } from './belief.ts';
import { ENDPOINT_FACTOR } from './classes.ts';
import { EA_MIDDLE } from './kinetics.ts';
import { normalCdf } from './normal.ts';

/** An event known only to lie in (after, by]; `by` null: not seen yet. */
export interface Interval {
  readonly after: number;
  readonly by: number | null;
}

/** A step of the curve: probability `mass` that the event falls in (after, by]. */
export interface TurnbullStep extends Interval {
  readonly mass: number;
}

const endOf = (interval: Interval) => interval.by ?? Infinity;

/**
 * The curve that interval-censored data support without any model (Turnbull 1976): maximum likelihood by
 * self-consistency on the innermost intervals.
 */
export function turnbull(data: readonly Interval[]): TurnbullStep[] {
  const inner = innermost(data);
  const holds = data.map((d) => inner.map((i) => i.after >= d.after && endOf(i) <= endOf(d)));
  let mass = inner.map(() => 1 / inner.length);
  for (let round = 0; round < 20_000; round++) {
    const next = inner.map(() => 0);
    for (const row of holds) {
      const total = mass.reduce((sum, m, j) => sum + (row[j] ? m : 0), 0);
      mass.forEach((m, j) => {
        if (row[j]) next[j] = next[j]! + m / total / data.length;
      });
    }
    const moved = Math.max(...next.map((m, j) => Math.abs(m - mass[j]!)));
    mass = next;
    if (moved < 1e-10) break;
  }
  return inner.map((i, j) => ({ ...i, mass: mass[j]! })).filter((s) => s.mass > 1e-6);
}

/** Intervals that begin at some `after`, end at the next `by`, and hold no other bound: where the mass can sit. */
function innermost(data: readonly Interval[]): Interval[] {
  const bounds = [
    ...data.map((d) => ({ at: d.after, opens: true })),
    ...data.map((d) => ({ at: endOf(d), opens: false })),
  ].sort((a, b) => a.at - b.at || Number(a.opens) - Number(b.opens));
  const found: Interval[] = [];
  bounds.forEach((bound, i) => {
    const next = bounds[i + 1];
    if (bound.opens && next && !next.opens)
      found.push({ after: bound.at, by: Number.isFinite(next.at) ? next.at : null });
  });
  return found;
}

/** Log-likelihood of interval-censored times under a log-normal: ln(F(by) - F(after)) summed. */
export function logNormalLogLikelihood(data: readonly Interval[], mu: number, sigma: number): number {
  const upTo = (t: number) => (t <= 0 ? 0 : t === Infinity ? 1 : normalCdf((Math.log(t) - mu) / sigma));
  return data.reduce((sum, d) => sum + Math.log(Math.max(1e-300, upTo(endOf(d)) - upTo(d.after))), 0);
}

/** A fitted log-normal: middle and spread of ln(time). */
export interface LogNormalFit {
  readonly mu: number;
  readonly sigma: number;
  readonly logLikelihood: number;
}

/**
 * The log-normal that fits interval-censored times best: pattern search on (mu, ln sigma), which needs no derivative
 * and cannot overshoot. Null where nothing was ever seen to end, because then no finite time is best.
 */
export function fitLogNormal(data: readonly Interval[]): LogNormalFit | null {
  if (data.every((d) => d.by === null)) return null;
  const score = (mu: number, lnSigma: number) => logNormalLogLikelihood(data, mu, Math.exp(lnSigma));
  const seen = data.filter((d) => d.by !== null).map((d) => Math.log((d.after + d.by!) / 2));
  let mu = seen.reduce((a, b) => a + b, 0) / seen.length;
  let lnSigma = Math.log(0.5);
  let best = score(mu, lnSigma);
  for (let step = 0.5; step > 1e-7; ) {
    const tries = [-1, 0, 1].flatMap((i) =>
      [-1, 0, 1].map((j) => [mu + i * step, lnSigma + j * step] as const),
    );
    const scored = tries.map(([m, s]) => ({ m, s, value: score(m, Math.max(s, -7)) }));
    const top = scored.reduce((a, b) => (b.value > a.value ? b : a));
    if (top.value > best) {
      mu = top.m;
      lnSigma = Math.max(top.s, -7);
      best = top.value;
    } else step /= 2;
  }
  return { mu, sigma: Math.exp(lnSigma), logLikelihood: best };
}

/** This kitchen's own record of a class, without the model's prior: what its fork tests alone support. */
export interface KitchenRecord {
  readonly pieces: number;
  /** Equivalent hours at 70 C to fork-tender. */
  readonly curve: readonly TurnbullStep[];
  readonly fit: LogNormalFit | null;
}

/** Gathers the fork tests of many pieces into their intervals and the curve they support; contradictory pieces are left out. */
export function kitchenRecord(pieces: readonly PieceTests[]): KitchenRecord {
  const intervals = pieces.flatMap((piece) => {
    const factor = ENDPOINT_FACTOR[piece.endpoint];
    const at = (answer: (a: string) => boolean) =>
      piece.tests.filter((t) => answer(t.answer)).map((t) => t.hours[EA_MIDDLE]! / factor);
    const after = Math.max(0, ...at((a) => a !== 'ready'));
    const by = Math.min(Infinity, ...at((a) => a === 'ready'));
    if (piece.tests.length === 0 || after >= by) return [];
    return [{ after, by: by === Infinity ? null : by }];
  });
  return {
    pieces: intervals.length,
    curve: intervals.length === 0 ? [] : turnbull(intervals),
    fit: intervals.length < 3 ? null : fitLogNormal(intervals),
  };
}

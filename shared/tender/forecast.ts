import { type Belief, type PieceTests, readyProbability } from './belief.ts';
import type { TenderClass } from './classes.ts';
import { addTender, type TenderState } from './kinetics.ts';

/** A point of the core's expected future: seconds from now and degrees Celsius; straight lines between. */
export interface PathPoint {
  readonly seconds: number;
  readonly celsius: number;
}

/** When a piece will be ready, as odds. Seconds from when the food went in; null where the horizon comes first. */
export interface Forecast {
  readonly readyNow: number;
  readonly p10S: number | null;
  readonly p50S: number | null;
  readonly p90S: number | null;
  /** (90 % minus 10 %) over the middle: how wide the span is. Null where one of them is unknown. */
  readonly spanRatio: number | null;
  /** The odds along the way: seconds from when the food went in, probability of being ready. */
  readonly curve: readonly { readonly atS: number; readonly probability: number }[];
}

const STEP_S = 900;

/**
 * Forecasts readiness along a future core path, which holds its last temperature for ever.
 * `elapsedS`: seconds since the food went in. `horizonS`: how far ahead to look, 72 h unless said.
 * Odds already passed are given as `elapsedS`: it happened by now, when exactly is no longer asked.
 * Throws a RangeError when the path is empty or does not go forward in time.
 */
export function forecastReady(
  c: TenderClass,
  belief: Belief,
  piece: PieceTests,
  state: TenderState,
  path: readonly PathPoint[],
  elapsedS: number,
  horizonS = 72 * 3600,
): Forecast {
  checkPath(path);
  const odds = (s: TenderState) => readyProbability(c, belief, piece, s.hours);
  const readyNow = odds(state);
  const curve = [{ atS: elapsedS, probability: readyNow }];
  let now = 0;
  let at = path[0]!.celsius;
  let soft = state;
  while (now < horizonS && curve.at(-1)!.probability < 0.995) {
    const next = nextStop(path, now, horizonS);
    const celsius = pathAt(path, next);
    soft = addTender(soft, at, celsius, next - now);
    curve.push({ atS: elapsedS + next, probability: odds(soft) });
    now = next;
    at = celsius;
  }
  const [p10S, p50S, p90S] = [0.1, 0.5, 0.9].map((p) => quantile(curve, p)) as [
    number | null,
    number | null,
    number | null,
  ];
  const spanRatio =
    p10S === null || p50S === null || p90S === null || p50S <= 0 ? null : (p90S - p10S) / p50S;
  return { readyNow, p10S, p50S, p90S, spanRatio, curve };
}

function checkPath(path: readonly PathPoint[]): void {
  const steady = path.every((p, i) => Number.isFinite(p.celsius) && p.seconds >= (path[i - 1]?.seconds ?? 0));
  if (path.length === 0 || !steady) {
    throw new RangeError('A forecast needs at least one path point, with times from now that never go back.');
  }
}

/** Steps of a quarter of an hour, growing with the distance, and never across a bend of the path. */
function nextStop(path: readonly PathPoint[], now: number, horizonS: number): number {
  const stride = now + Math.max(STEP_S, now / 24);
  const bend = path.find((p) => p.seconds > now)?.seconds ?? Infinity;
  return Math.min(stride, bend, horizonS);
}

function pathAt(path: readonly PathPoint[], seconds: number): number {
  const after = path.findIndex((p) => p.seconds >= seconds);
  if (after === -1) return path.at(-1)!.celsius;
  const b = path[after]!;
  const a = path[after - 1] ?? b;
  if (b.seconds === a.seconds) return b.celsius;
  return a.celsius + ((b.celsius - a.celsius) * (seconds - a.seconds)) / (b.seconds - a.seconds);
}

function quantile(curve: Forecast['curve'], p: number): number | null {
  const after = curve.findIndex((point) => point.probability >= p);
  if (after === -1) return null;
  const b = curve[after]!;
  const a = curve[after - 1];
  if (!a) return b.atS;
  return a.atS + ((b.atS - a.atS) * (p - a.probability)) / (b.probability - a.probability);
}

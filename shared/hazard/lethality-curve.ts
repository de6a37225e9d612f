import type { DzStandard, Standard, TableStandard } from './standards/types.ts';

/**
 * The speed of killing under a standard: log10 a second, straight lines in its logarithm between knots
 * (log-linear between the rows of a table; one or two lines for D and z).
 * Zero below the first knot, constant above the last: no credit and no faster credit outside the published range.
 */
export interface LethalityCurve {
  readonly knotsC: readonly number[];
  /** Natural logarithm of the speed at each knot. */
  readonly lnRates: readonly number[];
}

/** A temperature that was converted between C and F may miss a row by a rounding; this much is forgiven, C. */
export const ROW_TOLERANCE_C = 1e-6;

const curves = new WeakMap<Standard, LethalityCurve | 'none'>();

/** The curve of a standard; null where it publishes no log reduction or no time above zero. */
export function curveOf(standard: Standard): LethalityCurve | null {
  let curve = curves.get(standard);
  if (curve === undefined) {
    curve = (standard.kind === 'dz' ? dzCurve(standard) : tableCurve(standard)) ?? 'none';
    curves.set(standard, curve);
  }
  return curve === 'none' ? null : curve;
}

/** Log10 reductions a second at a steady core temperature; zero below the standard's range (Bigelow, or its table). */
export function lethalRate(standard: Standard, celsius: number): number {
  const curve = curveOf(standard);
  if (!curve || !(celsius >= curve.knotsC[0]! - ROW_TOLERANCE_C)) return 0;
  return Math.exp(lnRateAt(curve, intervalAt(curve, celsius), celsius));
}

/**
 * Log10 reductions earned while the core goes in a straight line between two temperatures.
 * Exact for such a line at any spacing: the speed is exponential in temperature between knots, so each piece
 * is the logarithmic mean of its ends times its time.
 */
export function creditOnLine(curve: LethalityCurve, fromC: number, toC: number, seconds: number): number {
  const low = Math.min(fromC, toC);
  const high = Math.max(fromC, toC);
  const floor = curve.knotsC[0]! - ROW_TOLERANCE_C;
  if (!(high >= floor)) return 0;
  const span = high - low;
  if (span < 1e-9) return low >= floor ? Math.exp(lnRateAt(curve, intervalAt(curve, low), low)) * seconds : 0;
  let x = Math.max(low, floor);
  let i = intervalAt(curve, x);
  // Most steps lie within one interval.
  const above = curve.knotsC[i + 1];
  if (x === low && (above === undefined || high <= above)) {
    return expMean(lnRateAt(curve, i, low), lnRateAt(curve, i, high)) * seconds;
  }
  let credit = 0;
  while (x < high) {
    const knot = curve.knotsC[i + 1];
    const next = knot === undefined ? high : Math.min(high, knot);
    if (next > x) {
      credit += expMean(lnRateAt(curve, i, x), lnRateAt(curve, i, next)) * ((next - x) / span) * seconds;
    }
    x = Math.max(next, x);
    i++;
  }
  return credit;
}

/** Mean of exp over a straight line from a to b. */
function expMean(a: number, b: number): number {
  const d = b - a;
  // Next terms of the series: below 1e-9 of the value, and one exponential instead of two.
  if (Math.abs(d) < 0.03) return Math.exp((a + b) / 2) * (1 + (d * d) / 24);
  return (Math.exp(b) - Math.exp(a)) / d;
}

/** Index of the last knot at or below; 0 just under the first; the last index means beyond the table. */
function intervalAt(curve: LethalityCurve, celsius: number): number {
  let low = 0;
  let high = curve.knotsC.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (curve.knotsC[middle]! <= celsius) low = middle;
    else high = middle - 1;
  }
  return low;
}

function lnRateAt(curve: LethalityCurve, i: number, celsius: number): number {
  const knot = curve.knotsC[i]!;
  const next = curve.knotsC[i + 1];
  const ln = curve.lnRates[i]!;
  if (next === undefined) return ln;
  return ln + ((curve.lnRates[i + 1]! - ln) * (celsius - knot)) / (next - knot);
}

function tableCurve(standard: TableStandard): LethalityCurve | null {
  const target = standard.targetLog10;
  const timed = standard.rows.filter((row) => row.seconds > 0);
  if (target === null || timed.length === 0) return null;
  const knotsC = timed.map((row) => row.celsius);
  const lnRates = timed.map((row) => Math.log(target / row.seconds));
  const start = timed[0]!.fromC;
  if (start < knotsC[0]! && knotsC.length > 1) {
    const slope = (lnRates[1]! - lnRates[0]!) / (knotsC[1]! - knotsC[0]!);
    lnRates.unshift(lnRates[0]! + slope * (start - knotsC[0]!));
    knotsC.unshift(start);
  }
  return { knotsC, lnRates };
}

function dzCurve(standard: DzStandard): LethalityCurve {
  const [low, high] = standard.rangeC;
  const { refC, zC, zAboveRefC = zC, dRefS } = standard;
  const knotsC = refC > low && refC < high ? [low, refC, high] : [low, high];
  const lnRates = knotsC.map(
    (c) => ((c - refC) / (c > refC ? zAboveRefC : zC)) * Math.LN10 - Math.log(dRefS),
  );
  return { knotsC, lnRates };
}

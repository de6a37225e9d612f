import { addDwell, breakDwell, type DwellState, startDwell } from './dwell.ts';
import { creditOnLine, curveOf, type LethalityCurve } from './lethality-curve.ts';
import type { Standard } from './standards/types.ts';

/**
 * What one standard makes of one core history. Plain data that survives JSON.
 * Both readings are kept: the integral (an equivalent, not the document's words) and the dwell as worded.
 */
export interface LethalityState {
  /** Log10 reductions of the standard's organism, integrated along the core. Never falls. */
  readonly log10: number;
  /** When the integral reached the standard's target, seconds on the caller's clock; null while it has not. */
  readonly metAtS: number | null;
  /** The table's own words; null for a D and z record, which has none. */
  readonly dwell: DwellState | null;
}

/** A rounding in a long sum must not cost the cook the whole last second. */
const TARGET_TOLERANCE = 1e-9;

/** Nothing earned yet. */
export function startLethality(standard: Standard): LethalityState {
  return { log10: 0, metAtS: null, dwell: standard.kind === 'table' ? startDwell() : null };
}

/**
 * Adds a stretch in which the core went in a straight line from `fromC` to `toC` in `seconds`, ending at `atS`
 * (seconds on the caller's clock, such as seconds since the food went in).
 * Exact for such a line at any spacing. Credits nothing below the standard's lowest temperature and nothing
 * faster above its last row with a time. A stretch that is not a number earns nothing and breaks every hold.
 */
export function addLethality(
  standard: Standard,
  state: LethalityState,
  fromC: number,
  toC: number,
  seconds: number,
  atS: number,
): LethalityState {
  if (!(Number.isFinite(fromC) && Number.isFinite(toC) && Number.isFinite(seconds) && Number.isFinite(atS))) {
    return interruptLethality(state);
  }
  if (seconds <= 0) return state;
  const dwell =
    standard.kind === 'table' && state.dwell
      ? addDwell(standard, state.dwell, fromC, toC, seconds, atS)
      : null;
  const curve = curveOf(standard);
  const credit = curve ? creditOnLine(curve, fromC, toC, seconds) : 0;
  if (credit === 0 && dwell === state.dwell) return state;
  const log10 = state.log10 + credit;
  let { metAtS } = state;
  const target = standard.targetLog10;
  if (metAtS === null && curve && target !== null && log10 >= target - TARGET_TOLERANCE) {
    metAtS =
      atS - seconds * (1 - shareNeeded(curve, fromC, toC, seconds, target - TARGET_TOLERANCE - state.log10));
  }
  return { log10, metAtS, dwell };
}

/** Breaks the running holds without adding credit: a gap in what is known, or a bag out of the water. */
export function interruptLethality(state: LethalityState): LethalityState {
  if (!state.dwell) return state;
  const dwell = breakDwell(state.dwell);
  return dwell === state.dwell ? state : { ...state, dwell };
}

/** Of two histories that the same core may have had, the lower in each respect: the smaller sum, the hold that ends later. */
export function lesserLethality(a: LethalityState, b: LethalityState): LethalityState {
  const never = Number.POSITIVE_INFINITY;
  const metOrDue = ({ dwell }: LethalityState) => [dwell?.metAtS ?? never, dwell?.dueS ?? never] as const;
  const [x, y] = [metOrDue(a), metOrDue(b)];
  const later = x[0] !== y[0] ? x[0] > y[0] : x[1] >= y[1];
  return { ...(a.log10 <= b.log10 ? a : b), dwell: later ? a.dwell : b.dwell };
}

/** The share of a stretch after which it has earned `needed`, by bisection to a millionth. */
function shareNeeded(
  curve: LethalityCurve,
  fromC: number,
  toC: number,
  seconds: number,
  needed: number,
): number {
  let low = 0;
  let high = 1;
  for (let i = 0; i < 30; i++) {
    const middle = (low + high) / 2;
    const earned = creditOnLine(curve, fromC, fromC + (toC - fromC) * middle, seconds * middle);
    if (earned >= needed) high = middle;
    else low = middle;
  }
  return high;
}

/** One standard's result for a page, a log or an export. */
export interface LethalityResult {
  readonly organism: string;
  readonly food: string;
  readonly standard: string;
  readonly standardId: string;
  readonly source: string;
  /** The integral: an equivalent log10 reduction. */
  readonly log10: number;
  readonly targetLog10: number | null;
  readonly metAtS: number | null;
  /** As the table words it; null for D and z. `heldS` is the running hold of the row nearest its time. */
  readonly dwell: {
    metAtS: number | null;
    metByRow: string | null;
    row: string | null;
    heldS: number;
    needS: number;
  } | null;
}

/** Puts a state into words and numbers at time `atS`. */
export function lethalityResult(standard: Standard, state: LethalityState, atS: number): LethalityResult {
  return {
    organism: standard.organism,
    food: standard.food,
    standard: standard.name,
    standardId: standard.id,
    source: standard.source,
    log10: state.log10,
    targetLog10: standard.targetLog10,
    metAtS: state.metAtS,
    dwell: standard.kind === 'table' && state.dwell ? dwellResult(standard.rows, state.dwell, atS) : null,
  };
}

function dwellResult(
  rows: readonly { readonly printed: string; readonly seconds: number }[],
  dwell: DwellState,
  atS: number,
): LethalityResult['dwell'] {
  const met = dwell.metRow === null ? null : rows[dwell.metRow]!.printed;
  const row = dwell.dueRow === null ? null : rows[dwell.dueRow]!;
  const heldS = dwell.dueRow === null ? 0 : Math.max(0, atS - dwell.sinceS[dwell.dueRow]!);
  return { metAtS: dwell.metAtS, metByRow: met, row: row?.printed ?? null, heldS, needS: row?.seconds ?? 0 };
}

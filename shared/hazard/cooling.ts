import { type Line, secondsToPass } from './band.ts';
import type { CoolingRule } from './profiles.ts';

/** One leg under way: when the core fell through its top, and when it reached its foot. Seconds on the caller's clock. */
export interface LegState {
  readonly fromS: number | null;
  readonly toS: number | null;
  /** The last time at which the core was seen above the foot, where it was only read now and then. */
  readonly aboveAtS?: number;
}

/** Cooling of one core under several rules; plain data. */
export interface CoolingState {
  /** When cooling was declared begun (food taken out to chill). */
  readonly startS: number;
  /** So long after its time a leg without a reading is overdue and not broken, s: a reading may still be entered. */
  readonly graceS?: number;
  /** Since it was chilled it may have been hot again: what cools next is judged anew. */
  readonly rewarmed?: boolean;
  /** Since it was chilled it has surely been at the hot-holding limit again. */
  readonly heldAgain?: boolean;
  /** For each rule, its legs in order. */
  readonly rules: readonly (readonly LegState[])[];
}

/** Cooling begins at `atS`; a leg whose top lies above the core starts at once. */
export function startCooling(rules: readonly CoolingRule[], coreC: number, atS: number): CoolingState {
  return {
    startS: atS,
    rules: rules.map((rule) =>
      rule.legs.map((leg) => ({ fromS: coreC <= leg.fromC ? atS : null, toS: null })),
    ),
  };
}

/**
 * Food that was chilled and is heated again, `coldestC` to `hottestC` at the core: once it may have been above the top of
 * a rule its next cooling counts anew, and once it was surely at `holdC` it is held hot again.
 */
export function rewarm(
  rules: readonly CoolingRule[],
  state: CoolingState,
  coldestC: number,
  hottestC: number,
  holdC: number,
): CoolingState {
  const topC = Math.min(...rules.flatMap(({ legs }) => legs.map(({ fromC }) => fromC)));
  // What is not a number may have been hot, and has not surely been.
  const rewarmed = state.rewarmed === true || !(hottestC <= topC);
  const heldAgain = state.heldAgain === true || coldestC >= holdC;
  if (rewarmed === (state.rewarmed ?? false) && heldAgain === (state.heldAgain ?? false)) return state;
  return { ...state, rewarmed, heldAgain };
}

/** Cooling under way again: legs that were kept start anew where the food may have been hot since; running ones run on. */
export function coolAgain(rules: readonly CoolingRule[], state: CoolingState, coreC: number, atS: number) {
  const { rewarmed, heldAgain, ...rest } = state;
  if (!rewarmed) return heldAgain === undefined ? state : rest;
  const anew = startCooling(rules, coreC, atS).rules;
  const legs = state.rules.map((rule, r) => rule.map((leg, l) => (leg.toS === null ? leg : anew[r]![l]!)));
  return { ...rest, rules: legs };
}

/**
 * Carries cooling over a step that ends at `atS`, in which the core lay between two straight lines (the same twice
 * where it is known): a leg begins when the lower line falls through its top and ends when the upper reaches its foot.
 */
export function addCooling(
  rules: readonly CoolingRule[],
  state: CoolingState,
  lower: Line,
  upper: Line,
  seconds: number,
  atS: number,
): CoolingState {
  let changed = false;
  const next = rules.map((rule, r) =>
    rule.legs.map((leg, l) => {
      const before = state.rules[r]![l]!;
      const fromS = before.fromS ?? fallsThrough(lower, leg.fromC, seconds, atS);
      const toS = before.toS ?? (fromS === null ? null : fallsThrough(upper, leg.toC, seconds, atS));
      if (fromS === before.fromS && toS === before.toS) return before;
      changed = true;
      return { fromS, toS };
    }),
  );
  return changed ? { ...state, rules: next } : state;
}

/** When a line is first at or under a temperature; null where it stays above. */
function fallsThrough(line: Line, celsius: number, seconds: number, atS: number): number | null {
  if (line.from <= celsius) return atS - seconds;
  if (!(line.to <= celsius)) return null;
  return atS - seconds + (secondsToPass(line.from, line.to, seconds, celsius) ?? seconds);
}

/** `overdue`: its time is over and no reading shows how it went; a reading taken in time may still be entered. */
export type LegStatus = 'waiting' | 'running' | 'overdue' | 'met' | 'broken';

/** How one rule stands. */
export interface CoolingResult {
  readonly rule: string;
  readonly source: string;
  readonly condition: string | null;
  readonly status: 'running' | 'met' | 'broken';
  readonly legs: readonly {
    fromC: number;
    toC: number;
    limitS: number;
    elapsedS: number | null;
    status: LegStatus;
  }[];
}

/** Puts one rule's state into numbers at time `atS`. A broken leg stays broken, whatever comes after. */
export function coolingResult(
  rule: CoolingRule,
  legs: readonly LegState[],
  atS: number,
  graceS = 0,
): CoolingResult {
  const results = rule.legs.map((leg, i) => {
    const { fromS, toS } = legs[i]!;
    const elapsedS = fromS === null ? null : (toS ?? atS) - fromS;
    const status = legStatus(legs[i]!, leg.limitS, elapsedS, graceS);
    return { fromC: leg.fromC, toC: leg.toC, limitS: leg.limitS, elapsedS, status };
  });
  const status = results.some((r) => r.status === 'broken')
    ? 'broken'
    : results.every((r) => r.status === 'met')
      ? 'met'
      : 'running';
  return { rule: rule.name, source: rule.source, condition: rule.condition, status, legs: results };
}

function legStatus(leg: LegState, limitS: number, elapsedS: number | null, graceS: number): LegStatus {
  if (elapsedS === null || leg.fromS === null) return 'waiting';
  if (elapsedS <= limitS) return leg.toS === null ? 'running' : 'met';
  const seenLate = leg.aboveAtS !== undefined && leg.aboveAtS - leg.fromS > limitS;
  return leg.toS === null && !seenLate && elapsedS <= limitS + graceS ? 'overdue' : 'broken';
}

import { secondsToPass } from './band.ts';
import type { CoolingLeg, CoolingRule } from './profiles.ts';

/** One leg under way: when the core fell through its top, and when it reached its foot. Seconds on the caller's clock. */
export interface LegState {
  readonly fromS: number | null;
  readonly toS: number | null;
}

/** Cooling of one core under several rules; plain data. */
export interface CoolingState {
  /** When cooling was declared begun (food taken out to chill). */
  readonly startS: number;
  /** For each rule, its legs in order. */
  readonly rules: readonly (readonly LegState[])[];
}

/** Cooling begins at `atS`; a leg whose top lies above the core starts at once. */
export function startCooling(rules: readonly CoolingRule[], coreC: number, atS: number): CoolingState {
  return {
    startS: atS,
    rules: rules.map((rule) =>
      rule.legs.map((leg) => ({
        fromS: coreC <= leg.fromC ? atS : null,
        toS: coreC <= leg.toC ? atS : null,
      })),
    ),
  };
}

/** Carries cooling over a straight line of core temperature that ends at `atS`. */
export function addCooling(
  rules: readonly CoolingRule[],
  state: CoolingState,
  fromC: number,
  toC: number,
  seconds: number,
  atS: number,
): CoolingState {
  let changed = false;
  const next = rules.map((rule, r) =>
    rule.legs.map((leg, l) => {
      const before = state.rules[r]![l]!;
      const after = addLeg(leg, before, fromC, toC, seconds, atS);
      if (after !== before) changed = true;
      return after;
    }),
  );
  return changed ? { ...state, rules: next } : state;
}

function addLeg(
  leg: CoolingLeg,
  state: LegState,
  fromC: number,
  toC: number,
  seconds: number,
  atS: number,
): LegState {
  if (state.toS !== null || toC > leg.fromC) return state;
  const passed = (celsius: number) =>
    atS - seconds + (secondsToPass(fromC, toC, seconds, celsius) ?? seconds);
  const fromS = state.fromS ?? (fromC > leg.fromC ? passed(leg.fromC) : atS - seconds);
  const toS = toC <= leg.toC ? passed(leg.toC) : null;
  return fromS === state.fromS && toS === null ? state : { fromS, toS };
}

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
    status: 'waiting' | 'running' | 'met' | 'broken';
  }[];
}

/** Puts one rule's state into numbers at time `atS`. A broken leg stays broken, whatever comes after. */
export function coolingResult(rule: CoolingRule, legs: readonly LegState[], atS: number): CoolingResult {
  const results = rule.legs.map((leg, i) => {
    const { fromS, toS } = legs[i]!;
    const elapsedS = fromS === null ? null : (toS ?? atS) - fromS;
    const status: 'waiting' | 'running' | 'met' | 'broken' =
      elapsedS === null ? 'waiting' : elapsedS > leg.limitS ? 'broken' : toS === null ? 'running' : 'met';
    return { fromC: leg.fromC, toC: leg.toC, limitS: leg.limitS, elapsedS, status };
  });
  const status = results.some((r) => r.status === 'broken')
    ? 'broken'
    : results.every((r) => r.status === 'met')
      ? 'met'
      : 'running';
  return { rule: rule.name, source: rule.source, condition: rule.condition, status, legs: results };
}

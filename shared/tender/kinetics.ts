/** Molar gas constant, kJ/(mol K) (CODATA 2018, exact). */
const R = 8.31446261815324e-3;
const REF_K = 343.15;
/** No softening is credited below; full rate from `FULL_C`. Collagen hardly denatures under 55 C (Bouton & Harris 1981). */
const ZERO_C = 55;
const FULL_C = 58;
/** Beyond this the rate is outside what it was fitted on. */
export const TENDER_MAX_C = 88;

const EA_MEAN = 95;
/** Spacing that gives five equally spaced values weighted like a normal curve a standard deviation of 20 kJ/mol. */
const EA_STEP = 20.8027;

/** Activation energies carried side by side, kJ/mol: 95 with a spread of 20, because one value would be false certainty. */
export const EA_VALUES: readonly number[] = [-2, -1, 0, 1, 2].map((z) => EA_MEAN + z * EA_STEP);
const EA_RAW = [-2, -1, 0, 1, 2].map((z) => Math.exp((-z * z) / 2));
const EA_SUM = EA_RAW.reduce((a, b) => a + b, 0);
/** Prior weight of each value; they sum to one. */
export const EA_WEIGHTS: readonly number[] = EA_RAW.map((w) => w / EA_SUM);
/** Index of the middle value, 95 kJ/mol. */
export const EA_MIDDLE = 2;

/** Softening so far of one core. Plain data. */
export interface TenderState {
  /** Equivalent hours at 70 C, one for each activation energy. */
  readonly hours: readonly number[];
  /** Seconds at or above 55 C, and the hottest core so far (null before any reading): for the moisture band. */
  readonly hotS: number;
  readonly maxC: number | null;
}

/** Raw and cold. */
export function startTender(): TenderState {
  return { hours: [0, 0, 0, 0, 0], hotS: 0, maxC: null };
}

/**
 * Rate of softening relative to 70 C for an activation energy in kJ/mol: Arrhenius in reference form
 * (Schwaab & Pinto), zero below 55 C, rising to full by 58 C.
 */
export function tenderRate(celsius: number, activationKjMol = EA_MEAN): number {
  return gate(celsius) * Math.exp(-(activationKjMol / R) * (1 / (celsius + 273.15) - 1 / REF_K));
}

function gate(celsius: number): number {
  if (!(celsius > ZERO_C)) return 0;
  return celsius >= FULL_C ? 1 : (celsius - ZERO_C) / (FULL_C - ZERO_C);
}

/**
 * Adds a straight line of core temperature from `fromC` to `toC` lasting `seconds`; midpoint rule on steps of at most
 * half a degree. A stretch that is not a number softens nothing.
 */
export function addTender(state: TenderState, fromC: number, toC: number, seconds: number): TenderState {
  if (!(seconds > 0) || !Number.isFinite(fromC) || !Number.isFinite(toC)) return state;
  const maxC = Math.max(fromC, toC, state.maxC ?? -300);
  const high = Math.max(fromC, toC);
  const low = Math.min(fromC, toC);
  if (high < ZERO_C) return maxC === state.maxC ? state : { ...state, maxC };
  const steps = Math.max(1, Math.ceil((high - Math.max(low, ZERO_C)) / 0.5));
  const share = high === low ? 1 : (high - Math.max(low, ZERO_C)) / (high - low);
  const hours = state.hours.slice();
  for (let i = 0; i < steps; i++) {
    const celsius = high - ((i + 0.5) / steps) * (high - Math.max(low, ZERO_C));
    addHours(hours, celsius, (seconds * share) / steps / 3600);
  }
  return { hours, hotS: state.hotS + seconds * share, maxC };
}

/** One exponential for the middle value and one for the step between neighbours serve all five. */
function addHours(hours: number[], celsius: number, elapsedH: number): void {
  const open = gate(celsius);
  if (open === 0) return;
  const away = -(1 / (celsius + 273.15) - 1 / REF_K) / R;
  const middle = open * elapsedH * Math.exp(EA_MEAN * away);
  const step = Math.exp(EA_STEP * away);
  hours[0] = hours[0]! + middle / (step * step);
  hours[1] = hours[1]! + middle / step;
  hours[2] = hours[2]! + middle;
  hours[3] = hours[3]! + middle * step;
  hours[4] = hours[4]! + middle * step * step;
}

import type { Gains } from './gains.ts';

/**
 * Plain state of the regulator. `slow` is the duty without its derivative part; `filteredC` null = no measurement
 * seen since it was last released.
 */
export interface RegulatorState {
  readonly duty: number;
  readonly slow: number;
  readonly filteredC: number | null;
  readonly slopeCPerS: number;
}

export const IDLE_REGULATOR: RegulatorState = { duty: 0, slow: 0, filteredC: null, slopeCPerS: 0 };

/**
 * One step of the PID regulator, giving the wanted duty, 0..1.
 *
 * Proportional and integral parts in velocity form, the proportional and derivative parts on the *measured*
 * temperature only: a new setpoint moves the duty through the integral and never by a jump (bumpless). What is kept
 * is the limited sum itself, so nothing can wind up. The derivative is outside that limit, because its noise against
 * the limit would be rectified into an offset; the limit makes room for it, so that full heat stays full heat.
 * Velocity form and derivative on measurement: Astrom & Hagglund, Advanced PID Control (2006), from memory.
 */
export function regulate(
  state: RegulatorState,
  gains: Gains,
  setpointC: number,
  measuredC: number,
  dtS: number,
): RegulatorState {
  if (state.filteredC === null) return { ...state, filteredC: measuredC, slopeCPerS: 0 };
  const blend = dtS / (gains.filterS + dtS);
  const filteredC = state.filteredC + blend * (measuredC - state.filteredC);
  const moved = filteredC - state.filteredC;
  const slopeCPerS = state.slopeCPerS + blend * (moved / dtS - state.slopeCPerS);
  const derivative = gains.perC * gains.derivativeS * slopeCPerS;
  const change = gains.perC * (((setpointC - filteredC) / gains.integralS) * dtS - moved);
  const slow = within(state.slow + change, Math.min(0, derivative), Math.max(1, 1 + derivative));
  return { duty: within(slow - derivative, 0, 1), slow, filteredC, slopeCPerS };
}

/** The regulator while heat is forbidden: nought, and it begins anew from there. */
export function idle(state: RegulatorState): RegulatorState {
  return state === IDLE_REGULATOR || (state.slow === 0 && state.filteredC === null) ? state : IDLE_REGULATOR;
}

/** The regulator through a second without a reading: it keeps its duty, so that one lost reply makes no dip. */
export function freeze(state: RegulatorState): RegulatorState {
  return state.filteredC === null ? state : { ...state, filteredC: null, slopeCPerS: 0 };
}

function within(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}

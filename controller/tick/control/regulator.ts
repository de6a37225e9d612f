import type { Gains } from './gains.ts';

/** Plain state of the regulator. `filteredC` null = no measurement seen since it was last released. */
export interface RegulatorState {
  readonly duty: number;
  readonly filteredC: number | null;
  readonly slopeCPerS: number;
}

export const IDLE_REGULATOR: RegulatorState = { duty: 0, filteredC: null, slopeCPerS: 0 };

/**
 * One step of the PID regulator in velocity form, giving the wanted duty, 0..1.
 *
 * The proportional and derivative parts act on the *measured* temperature only, so a new setpoint moves the
 * duty through the integral and never by a jump (bumpless). The state kept is the limited duty itself, so
 * there is nothing that could wind up. The derivative is filtered, for a probe that moves in 0.0625 degC steps.
 * Velocity form and derivative on measurement: Astrom & Hagglund, Advanced PID Control (2006), from memory.
 */
export function regulate(
  state: RegulatorState,
  gains: Gains,
  setpointC: number,
  measuredC: number,
  dtS: number,
): RegulatorState {
  if (state.filteredC === null) return { duty: state.duty, filteredC: measuredC, slopeCPerS: 0 };
  const blend = dtS / (gains.filterS + dtS);
  const filteredC = state.filteredC + blend * (measuredC - state.filteredC);
  const moved = filteredC - state.filteredC;
  const slope = state.slopeCPerS + blend * (moved / dtS - state.slopeCPerS);
  const change =
    gains.perC *
    (-moved +
      ((setpointC - filteredC) / gains.integralS) * dtS -
      gains.derivativeS * (slope - state.slopeCPerS));
  return { duty: limit(state.duty + change), filteredC, slopeCPerS: slope };
}

/** The regulator while heat is forbidden: nought, and it begins anew from there. */
export function idle(state: RegulatorState): RegulatorState {
  return state.duty === 0 && state.filteredC === null ? state : IDLE_REGULATOR;
}

/** The regulator through a second without a reading: it keeps its duty, so that one lost reply makes no dip. */
export function freeze(state: RegulatorState): RegulatorState {
  return state.filteredC === null ? state : { ...state, filteredC: null, slopeCPerS: 0 };
}

function limit(duty: number): number {
  return Math.min(1, Math.max(0, duty));
}

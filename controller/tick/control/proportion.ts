/** Time-proportioning: plain state. Times in seconds. */
export interface ProportionState {
  readonly on: boolean;
  /** How long the switch has been as it is. */
  readonly heldS: number;
  /** Heat owed (+) or given too much (-), in seconds of full heat. */
  readonly owedS: number;
}

export interface SwitchTimes {
  readonly minOnS: number;
  readonly minOffS: number;
  readonly windowS: number;
}

export const SWITCH_OFF: ProportionState = { on: false, heldS: 1e6, owedS: 0 };

/**
 * Turns a duty into on and off, second by second, with a minimum on and off time.
 * Heat owed adds up; the switch closes once half a pulse is owed and opens once half a pulse is overpaid, so that a
 * full swing lasts one window or more. What the minimum times withhold or overpay is carried on: the mean is kept.
 */
export function proportion(
  state: ProportionState,
  duty: number,
  dtS: number,
  times: SwitchTimes,
): ProportionState {
  // Debts beyond a window come from saturation and would only delay the answer to a change.
  const owedS = bound(state.owedS + (duty - (state.on ? 1 : 0)) * dtS, times.windowS);
  const heldS = Math.min(1e6, state.heldS + dtS);
  // At duty u a swing of +-h lasts 2h/u + 2h/(1-u); one window long at h = W u (1-u) / 2.
  const half = 0.5 * times.windowS * duty * (1 - duty);
  const on = state.on
    ? heldS < times.minOnS || duty >= 0.999 || (duty > 0.001 && owedS > -half)
    : heldS >= times.minOffS && duty > 0.001 && (duty >= 0.999 || owedS >= half);
  return { on, heldS: on === state.on ? heldS : 0, owedS };
}

function bound(owedS: number, windowS: number): number {
  return Math.min(windowS, Math.max(-windowS, owedS));
}

/** The switch at once open, whatever the minimum times say. */
export function openAtOnce(state: ProportionState): ProportionState {
  return state.on
    ? { on: false, heldS: 0, owedS: 0 }
    : { on: false, heldS: Math.min(1e6, state.heldS + 1), owedS: 0 };
}

import type { TickSettings } from '../settings.ts';
import { DELAY, RATE, type RigState } from './identify/rig.ts';

/** Gains of the regulator. Duty is a fraction of full heat, so `perC` is in 1/degC. */
export interface Gains {
  readonly perC: number;
  readonly integralS: number;
  readonly derivativeS: number;
  readonly filterS: number;
}

export interface GainsInput {
  readonly litres: number;
  readonly elementWatts: number;
  readonly gainPerC: number | null;
  readonly integralS: number | null;
  readonly derivativeS: number | null;
}

/** Volumetric heat capacity of water near 70 degC, J/(L K) (IAPWS: 977.8 kg/m3 x 4.19 kJ/(kg K)). */
const WATER_J_PER_L_K = 4097;
/** Lag of element, water mixing and probe taken together until the rig has been identified, in seconds. */
const ASSUMED_LAG_S = 60;

/**
 * Gains from litres and watts, where the configuration gives none.
 * The bath is taken as an integrator with slope k' = P/(V rho cp) and an effective delay; the rule is
 * SIMC for integrating processes (Skogestad 2003, J. Process Control 13:291, from memory):
 * Kc = 1/(k'(tc + theta)), Ti = 4(tc + theta), with tc = theta. Derivative theta/2 on the measurement.
 */
export function gainsFor(input: GainsInput): Gains {
  const described = gainsOf(input.elementWatts / (input.litres * WATER_J_PER_L_K), ASSUMED_LAG_S);
  const derivativeS = input.derivativeS ?? described.derivativeS;
  return {
    perC: input.gainPerC ?? described.perC,
    integralS: input.integralS ?? described.integralS,
    derivativeS,
    filterS: Math.max(4, derivativeS / 3),
  };
}

function gainsOf(slopeCPerS: number, lagS: number): Gains {
  const horizonS = 2 * lagS;
  const derivativeS = lagS / 2;
  return {
    perC: 1 / (slopeCPerS * horizonS),
    integralS: 4 * horizonS,
    derivativeS,
    filterS: Math.max(4, derivativeS / 3),
  };
}

/** Delays are taken within these, s: below, the noise of a probe rules; above, nothing is gained. */
const LEAST_DELAY_S = 30;
const MOST_DELAY_S = 150;

/**
 * The gains for now: of the identified rig once it is known, where the configuration gives none. A change moves no
 * duty, since the regulator works on changes.
 */
export function gainsNow(settings: TickSettings, rig: RigState): Gains {
  if (rig.identifiedAtMs === null || !settings.gainsFollow) return settings.gains;
  const lagS = Math.min(MOST_DELAY_S, Math.max(LEAST_DELAY_S, rig.belief.mean[DELAY]!));
  return gainsOf(rig.belief.mean[RATE]!, lagS);
}

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
  const slope = input.elementWatts / (input.litres * WATER_J_PER_L_K);
  const horizonS = 2 * ASSUMED_LAG_S;
  const derivativeS = input.derivativeS ?? ASSUMED_LAG_S / 2;
  return {
    perC: input.gainPerC ?? 1 / (slope * horizonS),
    integralS: input.integralS ?? 4 * horizonS,
    derivativeS,
    filterS: Math.max(4, derivativeS / 3),
  };
}

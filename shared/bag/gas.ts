/**
 * Air trapped in a sealed bag: how much it swells as the bag warms.
 *
 * Model: the dry air keeps its moles (perfect gas); meat and juice keep the pocket saturated, so water vapour
 * carries its saturation pressure and the dry air only the rest (Dalton): V = n R T / (p - p_sat(T)).
 * The bag is slack: it does not press on the gas. Near boiling the volume has no bound and the film decides.
 */

import { STANDARD_ATMOSPHERE_KPA, ZERO_CELSIUS_K } from '../water/saturation.ts';
import { quickSaturationKPa } from '../water/table.ts';

/** Molar gas constant, J/(mol K) (CODATA 2018, exact by the 2019 SI). */
export const GAS_CONSTANT = 8.314462618;
const GRAVITY = 9.80665;

/**
 * Dry air in a wet pocket at sealing.
 * @param airMl volume of the pocket when the bag was sealed, mL
 * @param celsius its temperature then
 * @param pressureKPa air pressure then
 * @returns mol
 */
export function dryAirMol(airMl: number, celsius: number, pressureKPa = STANDARD_ATMOSPHERE_KPA): number {
  const dryKPa = Math.max(0, pressureKPa - quickSaturationKPa(celsius));
  // mL x kPa = mJ
  return (airMl * dryKPa * 1e-3) / (GAS_CONSTANT * (celsius + ZERO_CELSIUS_K));
}

/**
 * Volume of the pocket at another temperature and depth.
 * @param mol dry air, from `dryAirMol`
 * @param pressureKPa air pressure over the bath
 * @param depthM water over the pocket, m
 * @returns mL; Infinity where the vapour alone holds the bag open (at and above boiling)
 */
export function gasVolumeMl(
  mol: number,
  celsius: number,
  pressureKPa = STANDARD_ATMOSPHERE_KPA,
  depthM = 0,
): number {
  if (mol <= 0) return 0;
  const dryKPa = pressureKPa + GRAVITY * depthM - quickSaturationKPa(celsius);
  if (dryKPa <= 0) return Number.POSITIVE_INFINITY;
  return (mol * GAS_CONSTANT * (celsius + ZERO_CELSIUS_K) * 1e3) / dryKPa;
}

/**
 * How many times its volume at sealing a wet pocket has at bath temperature.
 * @returns ratio, above 1 when warming
 */
export function gasGrowth(sealC: number, bathC: number, pressureKPa = STANDARD_ATMOSPHERE_KPA): number {
  return gasVolumeMl(dryAirMol(1, sealC, pressureKPa), bathC, pressureKPa);
}

/**
 * Moist air as a mixture of perfect gases.
 * Source: ASHRAE Handbook, Fundamentals, "Psychrometrics" (perfect-gas relations; within 0.7 % of real moist
 * air from -50 to 50 C, and within about 2 % up to 90 C).
 */
import { STANDARD_ATMOSPHERE_KPA, saturationPressureKPa, ZERO_CELSIUS_K } from './saturation.ts';

/** Gas constant of dry air, J/(kg K). */
export const DRY_AIR_GAS_CONSTANT = 287.042;
/** Ratio of the molar masses of water and dry air. */
export const WATER_AIR_MASS_RATIO = 0.621945;

/** Mass of water vapour carried by a kilogram of dry air, kg/kg, at a vapour pressure below the air pressure. */
export function humidityRatio(vapourKPa: number, pressureKPa: number = STANDARD_ATMOSPHERE_KPA): number {
  if (!(vapourKPa >= 0 && vapourKPa < pressureKPa)) {
    throw new RangeError(`vapour pressure must lie between 0 and ${pressureKPa} kPa, got ${vapourKPa}`);
  }
  return (WATER_AIR_MASS_RATIO * vapourKPa) / (pressureKPa - vapourKPa);
}

/** Vapour pressure of air of a temperature and relative humidity (0 to 1), kPa. */
export function vapourPressureKPa(airC: number, relativeHumidity: number): number {
  return saturationPressureKPa(airC) * relativeHumidity;
}

/** Dry air in a cubic metre of moist air, kg/m3. */
export function dryAirDensity(
  airC: number,
  vapourKPa: number,
  pressureKPa = STANDARD_ATMOSPHERE_KPA,
): number {
  return ((pressureKPa - vapourKPa) * 1000) / (DRY_AIR_GAS_CONSTANT * (airC + ZERO_CELSIUS_K));
}

/** Density of moist air, kg/m3: dry air and vapour together. */
export function moistAirDensity(
  airC: number,
  vapourKPa: number,
  pressureKPa = STANDARD_ATMOSPHERE_KPA,
): number {
  const vapour = WATER_AIR_MASS_RATIO * vapourKPa;
  return ((pressureKPa - vapourKPa + vapour) * 1000) / (DRY_AIR_GAS_CONSTANT * (airC + ZERO_CELSIUS_K));
}

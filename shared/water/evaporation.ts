/**
 * Evaporation from an open water surface, two published correlations.
 *
 * Shah: M. M. Shah, "Methods for calculation of evaporation from swimming pools and other water surfaces",
 * ASHRAE Transactions 120(2), 2014, undisturbed surface in quiet air. His 2002 review (HVAC&R Research 8(1)
 * 125-131) tested the natural-convection form on 11 sources, water 7 to 94 C, mean deviation 18 %.
 * Its coefficients (35 or 40, 0.00005) and the SI form of Carrier's are from memory.
 * Carrier: the ASHRAE natatorium equation (HVAC Applications), surface with air speed; quiet pools were
 * measured at 74 % of it (Smith, Löf and Jones). Extrapolated above about 40 C.
 */
import {
  DRY_AIR_GAS_CONSTANT,
  dryAirDensity,
  humidityRatio,
  moistAirDensity,
  WATER_AIR_MASS_RATIO,
} from './air.ts';
import {
  latentHeatJKg,
  STANDARD_ATMOSPHERE_KPA,
  saturationPressureKPa,
  ZERO_CELSIUS_K,
} from './saturation.ts';

/** Water and the air over it. */
export interface Surface {
  waterC: number;
  airC: number;
  /** 0 to 1 */
  relativeHumidity: number;
  /** default: standard atmosphere */
  pressureKPa?: number;
}

/**
 * Shah's rate from vapour pressures already known (the inner form, for callers that step every second).
 * The product of dry-air density and humidity ratio at the surface is written as vapour density, which stays
 * finite up to the boiling point.
 * @returns kg/(m2 h), never negative: condensation is not modelled
 */
export function shahRate(
  waterC: number,
  waterVapourKPa: number,
  airC: number,
  airVapourKPa: number,
  pressureKPa: number,
): number {
  const surfaceVapour = Math.min(waterVapourKPa, pressureKPa);
  const dryAtSurface = dryAirDensity(waterC, surfaceVapour, pressureKPa);
  const vapourAtSurface =
    (WATER_AIR_MASS_RATIO * surfaceVapour * 1000) / (DRY_AIR_GAS_CONSTANT * (waterC + ZERO_CELSIUS_K));
  const lift = moistAirDensity(airC, airVapourKPa, pressureKPa) - (dryAtSurface + vapourAtSurface);
  const driven = vapourAtSurface - dryAtSurface * humidityRatio(airVapourKPa, pressureKPa);
  const convected = lift > 0 ? (lift > 0.02 ? 35 : 40) * Math.cbrt(lift) * driven : 0;
  const floor = 0.05 * (surfaceVapour - airVapourKPa);
  return Math.max(0, convected, floor);
}

/**
 * Evaporation in quiet air after Shah (2014): the larger of the natural-convection form and its floor.
 * @returns kg/(m2 h), never negative
 * @throws RangeError when the air's vapour pressure is not below the air pressure
 */
export function evaporationShah(surface: Surface): number {
  const pressure = surface.pressureKPa ?? STANDARD_ATMOSPHERE_KPA;
  const air = saturationPressureKPa(surface.airC) * surface.relativeHumidity;
  return shahRate(surface.waterC, saturationPressureKPa(surface.waterC), surface.airC, air, pressure);
}

/**
 * Evaporation with air moving over the surface, Carrier's equation in SI:
 * w = (p_w - p_a) (0.089 + 0.0782 v) / Y, in kg/(m2 s) with kPa, m/s and kJ/kg.
 * @param airSpeedMS air speed along the surface, m/s
 * @returns kg/(m2 h), never negative
 */
export function evaporationCarrier(surface: Surface, airSpeedMS: number): number {
  const drive =
    saturationPressureKPa(surface.waterC) - saturationPressureKPa(surface.airC) * surface.relativeHumidity;
  return Math.max(0, carrierRate(drive, airSpeedMS, latentHeatJKg(surface.waterC)));
}

/**
 * Carrier's equation from a vapour pressure difference already known.
 * @returns kg/(m2 h)
 */
export function carrierRate(vapourDifferenceKPa: number, airSpeedMS: number, latentJKg: number): number {
  return (vapourDifferenceKPa * (0.089 + 0.0782 * airSpeedMS) * 3600) / (latentJKg / 1000);
}

/**
 * Heat that leaves an open water surface without evaporating: natural convection and radiation.
 * Source: hot plate facing up, Nu = 0.54 Ra^(1/4) (1e4 < Ra < 1e7), 0.15 Ra^(1/3) above (Incropera and
 * DeWitt, "Fundamentals of Heat and Mass Transfer"); water as a grey body of emissivity 0.95.
 */
import { ZERO_CELSIUS_K } from './saturation.ts';

/** Stefan-Boltzmann constant, W/(m2 K4) (CODATA 2018). */
export const STEFAN_BOLTZMANN = 5.670374419e-8;
const WATER_EMISSIVITY = 0.95;
const GRAVITY = 9.80665;
const AIR_PRANDTL = 0.708;

/**
 * Film coefficient of radiation between a surface and its surroundings.
 * @returns W/(m2 K), always positive
 */
export function radiationFilm(
  surfaceC: number,
  surroundingsC: number,
  emissivity = WATER_EMISSIVITY,
): number {
  const hot = surfaceC + ZERO_CELSIUS_K;
  const cold = surroundingsC + ZERO_CELSIUS_K;
  return emissivity * STEFAN_BOLTZMANN * (hot * hot + cold * cold) * (hot + cold);
}

/**
 * Film coefficient of natural convection over a warm surface facing up. Air properties by their usual power
 * laws about 300 K (k 0.0263 W/mK, nu 15.9e-6 m2/s, Pr 0.708), within 2 % up to 80 C.
 * A surface colder than the air has a stable layer; 1 W/(m2 K) is used there (from memory).
 * @param lengthM characteristic length, area over perimeter, m
 * @returns W/(m2 K)
 */
export function convectionFilm(surfaceC: number, airC: number, lengthM: number): number {
  const difference = surfaceC - airC;
  if (difference <= 0) return 1;
  const filmK = (surfaceC + airC) / 2 + ZERO_CELSIUS_K;
  const ratio = filmK / 300;
  const conductivity = 0.0263 * ratio ** 0.81;
  const viscosity = 15.89e-6 * ratio ** 1.72;
  const rayleigh = ((GRAVITY * difference * lengthM ** 3) / (filmK * viscosity * viscosity)) * AIR_PRANDTL;
  const nusselt = rayleigh < 1e7 ? 0.54 * rayleigh ** 0.25 : 0.15 * Math.cbrt(rayleigh);
  return (nusselt * conductivity) / lengthM;
}

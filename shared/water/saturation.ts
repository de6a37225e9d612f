/**
 * Water on its saturation line: vapour pressure, densities, latent heat, boiling point.
 *
 * Source: IAPWS SR1-86(1992), "Revised Supplementary Release on Saturation Properties of Ordinary Water
 * Substance" (W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783). Range: 0.01 to 374 C.
 * Below 0.01 C the pressure is carried on along the same curve (supercooled liquid), good to 1 % at -20 C.
 */

/** 0 C in kelvin. */
export const ZERO_CELSIUS_K = 273.15;
/** Standard atmosphere, kPa. */
export const STANDARD_ATMOSPHERE_KPA = 101.325;

const CRITICAL_K = 647.096;
const CRITICAL_KPA = 22064;
const CRITICAL_DENSITY = 322;
const PRESSURE_COEFFICIENTS = [-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502];

function tauOf(celsius: number): number {
  const tau = 1 - (celsius + ZERO_CELSIUS_K) / CRITICAL_K;
  if (!(tau > 0 && tau < 0.66)) {
    throw new RangeError(
      `water temperature must lie between -50 and 373 C for this formula, got ${celsius} C`,
    );
  }
  return tau;
}

/**
 * Saturation (vapour) pressure over liquid water.
 * @param celsius water temperature, -50 to 373 C
 * @returns kPa
 * @throws RangeError outside the range
 */
export function saturationPressureKPa(celsius: number): number {
  const tau = tauOf(celsius);
  const [a1, a2, a3, a4, a5, a6] = PRESSURE_COEFFICIENTS as [number, number, number, number, number, number];
  const root = Math.sqrt(tau);
  const tau3 = tau * tau * tau;
  const sum =
    a1 * tau +
    a2 * tau * root +
    a3 * tau3 +
    a4 * tau3 * root +
    a5 * tau3 * tau +
    a6 * tau3 * tau3 * tau * root;
  return CRITICAL_KPA * Math.exp((CRITICAL_K / (celsius + ZERO_CELSIUS_K)) * sum);
}

/**
 * Slope of the saturation pressure, the analytic derivative of the same formula.
 * @returns kPa per K
 */
export function saturationSlopeKPaK(celsius: number): number {
  const tau = tauOf(celsius);
  const [a1, a2, a3, a4, a5, a6] = PRESSURE_COEFFICIENTS as [number, number, number, number, number, number];
  const derivative =
    a1 +
    1.5 * a2 * tau ** 0.5 +
    3 * a3 * tau ** 2 +
    3.5 * a4 * tau ** 2.5 +
    4 * a5 * tau ** 3 +
    7.5 * a6 * tau ** 6.5;
  const pressure = saturationPressureKPa(celsius);
  return (-pressure / (celsius + ZERO_CELSIUS_K)) * (Math.log(pressure / CRITICAL_KPA) + derivative);
}

/** Density of saturated liquid water, kg/m3, at `celsius` (0 to 373 C). */
export function liquidDensity(celsius: number): number {
  const third = Math.cbrt(tauOf(celsius));
  const sum =
    1.99274064 * third +
    1.09965342 * third ** 2 -
    0.510839303 * third ** 5 -
    1.75493479 * third ** 16 -
    45.5170352 * third ** 43 -
    6.7469445e5 * third ** 110;
  return CRITICAL_DENSITY * (1 + sum);
}

/** Density of saturated water vapour, kg/m3, at `celsius` (0 to 373 C). */
export function vapourDensity(celsius: number): number {
  const sixth = tauOf(celsius) ** (1 / 6);
  const sum =
    -2.0315024 * sixth ** 2 -
    2.6830294 * sixth ** 4 -
    5.38626492 * sixth ** 8 -
    17.2991605 * sixth ** 18 -
    44.7586581 * sixth ** 37 -
    63.9201063 * sixth ** 71;
  return CRITICAL_DENSITY * Math.exp(sum);
}

/**
 * Latent heat of vaporisation from the Clapeyron equation, h = T (v" - v') dp/dT, with the three formulas
 * above.
 * @returns J/kg
 */
export function latentHeatJKg(celsius: number): number {
  const volumeChange = 1 / vapourDensity(celsius) - 1 / liquidDensity(celsius);
  return (celsius + ZERO_CELSIUS_K) * volumeChange * saturationSlopeKPaK(celsius) * 1000;
}

/**
 * Boiling point at a given pressure: the saturation pressure inverted by Newton's method.
 * @param pressureKPa air pressure, 1 to 1000 kPa
 * @returns C
 * @throws RangeError outside the range
 */
export function boilingPointC(pressureKPa: number): number {
  if (!(pressureKPa >= 1 && pressureKPa <= 1000)) {
    throw new RangeError(`air pressure must lie between 1 and 1000 kPa, got ${pressureKPa}`);
  }
  // Newton on ln p against 1/T, in which the curve is nearly straight.
  let celsius = 100 + 28 * Math.log(pressureKPa / STANDARD_ATMOSPHERE_KPA);
  for (let i = 0; i < 20; i++) {
    const pressure = saturationPressureKPa(celsius);
    const step = (Math.log(pressureKPa / pressure) * pressure) / saturationSlopeKPaK(celsius);
    celsius += step;
    if (Math.abs(step) < 1e-9) break;
  }
  return celsius;
}

/**
 * Air pressure at a height above the sea in the ICAO/ISO 2533 standard atmosphere.
 * @param altitudeM metres, -500 to 11 000
 * @returns kPa
 * @throws RangeError outside the range
 */
export function airPressureKPa(altitudeM: number): number {
  if (!(altitudeM >= -500 && altitudeM <= 11_000)) {
    throw new RangeError(`altitude must lie between -500 and 11000 m, got ${altitudeM}`);
  }
  return STANDARD_ATMOSPHERE_KPA * (1 - (0.0065 * altitudeM) / 288.15) ** 5.255_88;
}

import { airPressureKPa, boilingPointC } from '../../../shared/water/saturation.ts';

/** Where the water boils: by a barometer's absolute reading (not reduced to sea level), or by the height alone. */
export type BoilingPlace = { readonly pressureKPa: number } | { readonly altitudeM: number };

/** A boiling point, and how far the truth may be from it for not knowing the air better. Limits, degrees C. */
export interface BoilingReference {
  readonly celsius: number;
  readonly limitC: number;
}

/** What weather does to the pressure at a height: +-3 kPa covers ordinary lows and highs. Common practice, no source. */
const WEATHER_KPA = 3;
/** What a household or telephone barometer may be off. Common practice, no source. */
const BAROMETER_KPA = 0.3;

/**
 * Boiling point of water. Sources: IAPWS SR1-86(1992) for the saturation line, ISO 2533 for pressure against height.
 * @throws RangeError for a pressure outside 1 to 1000 kPa or a height outside -500 to 11000 m
 */
export function boilingReference(place: BoilingPlace): BoilingReference {
  const measured = 'pressureKPa' in place;
  const kPa = measured ? place.pressureKPa : airPressureKPa(place.altitudeM);
  const celsius = boilingPointC(kPa);
  const slack = measured ? BAROMETER_KPA : WEATHER_KPA;
  // Downwards the curve is steeper, so that side gives the limit.
  return { celsius, limitC: celsius - boilingPointC(Math.max(1, kPa - slack)) };
}

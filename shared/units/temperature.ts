export type TemperatureUnit = 'C' | 'F';

/** Degrees Celsius to degrees Fahrenheit (exact by definition: F = 9/5 C + 32). */
export function cToF(celsius: number): number {
  return celsius * 1.8 + 32;
}

/** Degrees Fahrenheit to degrees Celsius (exact by definition: C = (F - 32) 5/9). */
export function fToC(degF: number): number {
  return (degF - 32) / 1.8;
}

/** A number for people: so many decimals, a true minus sign, and never minus nought. */
export function numberText(value: number, decimals = 1): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

/** A temperature for people, one decimal, with its unit; an em dash where there is no value. */
export function temperatureText(celsius: number | null, unit: TemperatureUnit, decimals = 1): string {
  if (celsius === null || !Number.isFinite(celsius)) return '—';
  const value = unit === 'C' ? celsius : cToF(celsius);
  return `${numberText(value, decimals)} °${unit}`;
}

/** A temperature *difference* for people (no 32 degree offset). */
export function differenceText(kelvin: number, unit: TemperatureUnit, decimals = 1): string {
  const value = unit === 'C' ? kelvin : kelvin * 1.8;
  return `${numberText(value, decimals)} °${unit}`;
}

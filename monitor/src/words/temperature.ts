import {
  cToF,
  differenceText,
  fToC,
  numberText,
  type TemperatureUnit,
  temperatureText,
} from '../../../shared/units/temperature.ts';

export { type TemperatureUnit, temperatureText };

/** A number in the chosen unit, for scales and fields. */
export function inUnit(celsius: number, unit: TemperatureUnit): number {
  return unit === 'C' ? celsius : cToF(celsius);
}

/** Degrees C from a number in the chosen unit, to 0.01, so that 165 °F is logged as 73.89 and not as 73.888…. */
export function fromUnit(value: number, unit: TemperatureUnit): number {
  const celsius = unit === 'C' ? value : fToC(value);
  return Math.round(celsius * 100) / 100;
}

/** How far a temperature is from another, in words: `2.3 °C under`, `0.4 °C over`, `at`. */
export function besideText(celsius: number, referenceC: number, unit: TemperatureUnit): string {
  const difference = celsius - referenceC;
  if (Math.abs(difference) < 0.05) return 'at';
  return `${differenceText(Math.abs(difference), unit)} ${difference < 0 ? 'under' : 'over'}`;
}

/** A number's minus sign is one only where no number runs into it: `50-130` is a span. */
const BARE = '(?:(?<!\\d)[-−])?\\d+(?:\\.\\d+)?';
const NUMBER = `(${BARE})`;
/** Numbers that share the unit after the last: `60.0, 65.6 and 71.1`, `50 to 130`. */
const LIST = `((?:${BARE}, )*${BARE}(?: (?:and|or|to) ${BARE})?)`;
const parsed = (number: string) => Number(number.replace('−', '-'));
const BOTH = new RegExp(`${NUMBER} ?°C \\(${NUMBER} ?°F\\)`, 'g');
const PRINTED = new RegExp(`${NUMBER} F \\(${NUMBER} C\\)`, 'g');
const APART = new RegExp(
  `${NUMBER} ?(?:K\\b|°C(?= under the (?:setpoint|hard maximum)))|(?<=\\bz )${NUMBER} C\\b`,
  'g',
);
const WITHIN = new RegExp(`within ${NUMBER} ?°C(?= of)`, 'g');
const PLAIN = new RegExp(`${LIST} ?(?:°C|(?<= )(C|F)\\b)`, 'g');

/**
 * Text of the controller with its temperatures in the chosen unit. The controller writes temperatures as
 * `57.2 °C` and differences as `1.0 K`; a pair `57.2 °C (135 °F)` becomes the one that is wanted. Words of
 * standards come as `54.4 C`, `130 F (54.4 C)`, `50 to 130 F`.
 */
export function localText(text: string, unit: TemperatureUnit): string {
  const decimals = (number: string) => (number.includes('.') ? 1 : 0);
  const apart = (k: string) => differenceText(parsed(k), unit, decimals(k)).replace('°', '°\u2060');
  const one = (c: string, f: string) =>
    (unit === 'C' ? `${c}\u00a0°\u2060C` : `${f}\u00a0°\u2060F`).replace('-', '−');
  return text
    .replace(BOTH, (_, c: string, f: string) => one(c, f))
    .replace(PRINTED, (_, f: string, c: string) => one(c, f))
    .replace(APART, (_, k: string | undefined, z: string | undefined) => apart(k ?? z ?? ''))
    .replace(WITHIN, (_, k: string) => `within ${apart(k)}`)
    .replace(PLAIN, (_, list: string, bare: string | undefined) => listText(list, bare ?? 'C', unit))
    .replaceAll('\u2060', '');
}

function listText(list: string, from: string, to: TemperatureUnit): string {
  const turned = list.replace(new RegExp(NUMBER, 'g'), (number) => {
    if (from === to) return number.replace('-', '−');
    const value = to === 'F' ? cToF(parsed(number)) : fToC(parsed(number));
    return numberText(value, to === 'C' || number.includes('.') ? 1 : 0);
  });
  return `${turned} °${to}`;
}

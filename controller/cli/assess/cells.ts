import type { TemperatureUnit } from '../../../shared/units/temperature.ts';

/** A number as a cell holds it, with the sign it has for its decimals. */
export interface NumberCell {
  readonly value: number;
  readonly decimal: '.' | ',' | null;
}

/** A temperature as a cell holds it; the unit where one stands beside the number. */
export interface TemperatureCell extends NumberCell {
  readonly unit: TemperatureUnit | null;
}

const NUMBER = /^[+-]?(?:\d+(?:([.,])\d*)?|([.,])\d+)(?:e[+-]?\d+)?$/i;

/** Spaces of every kind off both ends, the apostrophe a spreadsheet leaves, and the typographic minus. */
export function plain(cell: string): string {
  return cell.trim().replace(/^'/, '').replace('\u2212', '-');
}

/** Reads a number with a point or a comma for its decimals; null where the cell holds anything else. */
export function numberCell(cell: string): NumberCell | null {
  const text = plain(cell);
  const match = NUMBER.exec(text);
  if (!match) return null;
  const decimal = (match[1] ?? match[2] ?? null) as NumberCell['decimal'];
  const value = Number(decimal === ',' ? text.replace(',', '.') : text);
  return Number.isFinite(value) ? { value, decimal } : null;
}

/** Reads a temperature with or without its unit, such as `60.5`, `60,5 °C`, `140F`; null where the cell holds anything else. */
export function temperatureCell(cell: string): TemperatureCell | null {
  const bare = numberCell(cell);
  if (bare) return { ...bare, unit: null };
  const text = plain(cell).replace('\u2103', 'C').replace('\u2109', 'F');
  const match = /^(.*?[\d.,])\s*(?:[°º˚]|deg\.?)?\s*([CF])?$/i.exec(text);
  const number = match ? numberCell(match[1]!) : null;
  if (!match || !number) return null;
  const letter = match[2]?.toUpperCase();
  return { ...number, unit: letter === 'C' || letter === 'F' ? letter : null };
}

/** The unit a header names, such as `bath_c`, `Bath (°F)`, `tempC`; null where it names none. */
export function unitInHeader(header: string): TemperatureUnit | null {
  const text = header.replace('\u2103', ' C').replace('\u2109', ' F').trim();
  const found = new Set<TemperatureUnit>();
  for (const word of text.split(/[^\p{L}\p{N}]+/u)) {
    const match = /^(?:deg(?:rees?)?)?(c|celsius|centigrade|f|fahrenheit)$/i.exec(word);
    if (match) found.add(match[1]![0]!.toUpperCase() as TemperatureUnit);
    // tempC, bathF: a capital right after small letters.
    const tail = /\p{Ll}([CF])$/u.exec(word);
    if (tail) found.add(tail[1] as TemperatureUnit);
  }
  return found.size === 1 ? [...found][0]! : null;
}

/** Words of a name in small letters, without its unit or its punctuation. */
export function wordsOf(name: string): string[] {
  return name
    .replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2')
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '');
}

import { fToC } from './temperature.ts';

/** What a flag or field measures; each has one unit inside the program. */
export type Dimension = 'length' | 'temperature' | 'mass' | 'fraction' | 'duration';

interface UnitOf {
  readonly pattern: RegExp;
  readonly toInner: (value: number) => number;
}

const unit = (pattern: RegExp, factor: number): UnitOf => ({ pattern, toInner: (v) => v * factor });

/** Accepted unit spellings a dimension; the first one is the example shown in errors. */
const UNITS: Record<Dimension, { inner: string; example: string; units: readonly UnitOf[] }> = {
  length: {
    inner: 'mm',
    example: '40mm',
    units: [unit(/^mm$/i, 1), unit(/^cm$/i, 10), unit(/^m$/, 1000), unit(/^(in|inch|")$/i, 25.4)],
  },
  temperature: {
    inner: 'C',
    example: '74C',
    units: [unit(/^°?c$/i, 1), { pattern: /^°?f$/i, toInner: fToC }],
  },
  mass: {
    inner: 'kg',
    example: '2kg',
    units: [
      unit(/^kg$/i, 1),
      unit(/^g$/i, 0.001),
      unit(/^(lb|lbs)$/i, 0.45359237),
      unit(/^oz$/i, 0.028349523125),
    ],
  },
  fraction: { inner: 'fraction', example: '1.5%', units: [unit(/^%$/, 0.01)] },
  duration: {
    inner: 's',
    example: '8h',
    units: [unit(/^s$/i, 1), unit(/^min$/i, 60), unit(/^h$/i, 3600), unit(/^d$/i, 86400)],
  },
};

export type QuantityResult = { ok: true; value: number } | { ok: false; why: string };

/**
 * Reads a number with its unit, as typed on a command line.
 * Gives mm, degrees C, kg, a fraction of one, or seconds by dimension.
 * A missing or foreign unit is refused, never guessed: 40 could be mm or inches.
 */
export function parseQuantity(text: string, dimension: Dimension): QuantityResult {
  const table = UNITS[dimension];
  const match = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*([^\s\d]*)\s*$/i.exec(text);
  if (!match)
    return { ok: false, why: `"${text}" is not a number with a unit; expected for example ${table.example}` };
  const value = Number(match[1]);
  const found = table.units.find((u) => u.pattern.test(match[2] ?? ''));
  if (!found) {
    const said = match[2] ? `unit "${match[2]}" is not one of ${dimension}` : 'the unit is missing';
    return { ok: false, why: `"${text}": ${said}; expected for example ${table.example}` };
  }
  return { ok: true, value: found.toInner(value) };
}

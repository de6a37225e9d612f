import { numberCell, plain } from './cells.ts';

/**
 * What a cell of the time column says. `instant`: a date and time (ms since 1970; `zoned` where it names its zone).
 * `clock`: h:mm:ss, elapsed or of the day, s. `short`: two numbers, which may be h:mm or m:ss. `number`: as it stands.
 * `slashed`: a date whose day and month cannot be told apart by one cell; both readings in ms, NaN where impossible.
 */
export type Moment =
  | { readonly kind: 'instant'; readonly ms: number; readonly zoned: boolean }
  | { readonly kind: 'slashed'; readonly dayFirstMs: number; readonly monthFirstMs: number }
  | { readonly kind: 'clock'; readonly seconds: number }
  | { readonly kind: 'short'; readonly first: number; readonly second: number }
  | { readonly kind: 'number'; readonly value: number };

export type MomentKind = Moment['kind'];

const TIME = String.raw`(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?\s*([ap]\.?m\.?)?`;
const ZONE = String.raw`\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?`;
const YEAR_FIRST = new RegExp(String.raw`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})[T,\s]\s*${TIME}${ZONE}$`, 'i');
const BASIC = /^(\d{4})(\d{2})(\d{2})T(\d{2})(\d{2})(\d{2}(?:[.,]\d+)?)?()(Z|[+-]\d{2}(?::?\d{2})?)?$/i;
const DOTTED = new RegExp(String.raw`^(\d{1,2})\.(\d{1,2})\.(\d{4}|\d{2})[T,\s]\s*${TIME}${ZONE}$`, 'i');
const SLASHED = new RegExp(String.raw`^(\d{1,2})[/-](\d{1,2})[/-](\d{4}|\d{2})[T,\s]\s*${TIME}${ZONE}$`, 'i');
const CLOCK = /^(\d{1,5}):([0-5]\d):([0-5]\d(?:[.,]\d+)?)\s*([ap]\.?m\.?)?$/i;
const SHORT = /^(\d{1,5}):([0-5]\d(?:[.,]\d+)?)$/;

/**
 * Reads one cell of a time column: ISO 8601 (a blank for the T, basic form, with or without zone), day.month.year,
 * dates with slashes, h:mm:ss, or a number. Null where the cell is none of these or names no day of the calendar.
 */
export function momentOf(cell: string): Moment | null {
  const text = plain(cell);
  const number = numberCell(text);
  if (number) return { kind: 'number', value: number.value };
  const clock = CLOCK.exec(text);
  if (clock) return clockOf(clock);
  const short = SHORT.exec(text);
  if (short) return { kind: 'short', first: Number(short[1]), second: Number(short[2]!.replace(',', '.')) };
  const yearFirst = YEAR_FIRST.exec(text) ?? BASIC.exec(text);
  if (yearFirst) return instantOf(yearFirst, 1, 2, 3);
  const dotted = DOTTED.exec(text);
  if (dotted) return instantOf(dotted, 3, 2, 1);
  const slashed = SLASHED.exec(text);
  if (!slashed) return null;
  const dayFirst = instantOf(slashed, 3, 2, 1);
  const monthFirst = instantOf(slashed, 3, 1, 2);
  if (!dayFirst && !monthFirst) return null;
  return {
    kind: 'slashed',
    dayFirstMs: dayFirst?.ms ?? Number.NaN,
    monthFirstMs: monthFirst?.ms ?? Number.NaN,
  };
}

function clockOf(match: RegExpExecArray): Moment | null {
  const hours = hoursOf(Number(match[1]), match[4]);
  if (hours === null) return null;
  return {
    kind: 'clock',
    seconds: hours * 3600 + Number(match[2]) * 60 + Number(match[3]!.replace(',', '.')),
  };
}

/** Hours of a 12 h clock where a half of the day is named; null where the clock has no such hour. */
function hoursOf(hours: number, half: string | undefined): number | null {
  if (half === undefined) return hours;
  if (hours < 1 || hours > 12) return null;
  return (hours % 12) + (half.toLowerCase().startsWith('p') ? 12 : 0);
}

function instantOf(
  match: RegExpExecArray,
  year: number,
  month: number,
  day: number,
): { kind: 'instant'; ms: number; zoned: boolean } | null {
  const [m, d] = [Number(match[month]), Number(match[day])];
  // A year of two digits is one of this century: no logger's file is older.
  const y = match[year]!.length === 2 ? 2000 + Number(match[year]) : Number(match[year]);
  const hours = hoursOf(Number(match[4]), match[7]);
  const minutes = Number(match[5]);
  const seconds = match[6] === undefined ? 0 : Number(match[6].replace(',', '.'));
  if (hours === null || hours > 24 || minutes > 59 || seconds >= 61) return null;
  const midnight = Date.UTC(y, m - 1, d);
  const date = new Date(midnight);
  if (date.getUTCMonth() !== m - 1 || date.getUTCDate() !== d || date.getUTCFullYear() !== y) return null;
  const zone = match[8];
  const local = midnight + (hours * 3600 + minutes * 60 + seconds) * 1000;
  return { kind: 'instant', ms: local - zoneMs(zone), zoned: zone !== undefined };
}

function zoneMs(zone: string | undefined): number {
  const match = zone === undefined ? null : /^([+-])(\d{2}):?(\d{2})?$/.exec(zone);
  if (!match) return 0;
  const minutes = Number(match[2]) * 60 + Number(match[3] ?? 0);
  return (match[1] === '-' ? -1 : 1) * minutes * 60_000;
}

import { wordsOf } from './cells.ts';
import { type Moment, type MomentKind, momentOf } from './moments.ts';
import { Refusal } from './refusal.ts';

/** A time column read: seconds on a scale of its own, NaN where a cell could not be read. */
export interface Times {
  readonly seconds: Float64Array;
  readonly kind: 'instant' | 'clock' | 'elapsed' | 'epoch';
  /** True where the cells name their zone, or count from 1970. */
  readonly zoned: boolean;
}

/** Where a cell of the log stands, for messages. */
export type PlaceOf = (index: number) => string;

/**
 * Reads a column of times, all in the one way that most of its cells are written in; the others count as unreadable.
 * @param cells the column's cells, row by row.
 * @param header its name, which may carry the unit of elapsed time (min, h, ms); blank for none.
 * @throws Refusal where the column can be read in two ways.
 */
export function timesOf(cells: readonly string[], header: string, place: PlaceOf): Times {
  const moments = cells.map(momentOf);
  const kind = commonest(moments);
  if (kind === null) {
    throw new Refusal(
      `${place(0)} holds "${cells[0]?.trim().slice(0, 40)}", which is no time, nor do the rows after it hold one. Expected ISO 8601, seconds since 1970, elapsed seconds, or h:mm:ss. Choose the column with --time-column.`,
    );
  }
  switch (kind) {
    case 'instant':
      return { seconds: instants(moments, place), kind, zoned: isZoned(moments) };
    case 'slashed':
      return { seconds: slashed(moments, cells, place), kind: 'instant', zoned: false };
    case 'clock':
      return {
        seconds: secondsBy(moments, (m) => (m.kind === 'clock' ? m.seconds : null)),
        kind,
        zoned: false,
      };
    case 'short':
      return { seconds: shorts(moments, header, cells, place), kind: 'clock', zoned: false };
    case 'number':
      return numbers(moments, header, place);
  }
}

function commonest(moments: readonly (Moment | null)[]): MomentKind | null {
  const seen = new Map<MomentKind, number>();
  for (const moment of moments) if (moment) seen.set(moment.kind, (seen.get(moment.kind) ?? 0) + 1);
  // 60:00 among 1:00:00 is the same clock, not another.
  if (seen.size === 0) return null;
  return [...seen].reduce((a, b) => (b[1] > a[1] ? b : a))[0];
}

function secondsBy(
  moments: readonly (Moment | null)[],
  read: (moment: Moment) => number | null,
): Float64Array {
  return Float64Array.from(moments, (moment) => (moment ? (read(moment) ?? Number.NaN) : Number.NaN));
}

const isZoned = (moments: readonly (Moment | null)[]) =>
  moments.some((m) => m?.kind === 'instant' && m.zoned);

function instants(moments: readonly (Moment | null)[], place: PlaceOf): Float64Array {
  const zoned = moments.findIndex((m) => m?.kind === 'instant' && m.zoned);
  const local = moments.findIndex((m) => m?.kind === 'instant' && !m.zoned);
  if (zoned !== -1 && local !== -1) {
    throw new Refusal(
      `${place(zoned)} names its time zone, ${place(local)} does not, so how far apart they are is not known. Write every time with its zone, or none.`,
    );
  }
  return secondsBy(moments, (m) => (m.kind === 'instant' ? m.ms / 1000 : null));
}

/** Day and month: whichever reading every cell allows. */
function slashed(
  moments: readonly (Moment | null)[],
  cells: readonly string[],
  place: PlaceOf,
): Float64Array {
  const read = (pick: (m: Moment & { kind: 'slashed' }) => number) =>
    secondsBy(moments, (m) => (m.kind === 'slashed' ? pick(m) / 1000 : null));
  const only = moments.map((m) => (m?.kind === 'slashed' ? m : null));
  const dayOnly = only.findIndex((m) => m && Number.isNaN(m.monthFirstMs));
  const monthOnly = only.findIndex((m) => m && Number.isNaN(m.dayFirstMs));
  if (dayOnly !== -1 && monthOnly === -1) return read((m) => m.dayFirstMs);
  if (monthOnly !== -1 && dayOnly === -1) return read((m) => m.monthFirstMs);
  const dates = new Set(only.map((m, i) => (m ? plainDate(cells[i]!) : null)).filter(Boolean));
  // Within one day it does not matter which is which.
  if (dayOnly === -1 && dates.size === 1) return read((m) => m.dayFirstMs);
  const first = Math.max(0, only.findIndex(Boolean));
  throw new Refusal(
    `${place(first)} holds "${cells[first]!.trim()}": which is the day and which the month cannot be told. Write dates as year-month-day.`,
  );
}

const plainDate = (cell: string) => /^\s*'?([\d/-]+)/.exec(cell)?.[1] ?? null;

function shorts(
  moments: readonly (Moment | null)[],
  header: string,
  cells: readonly string[],
  place: PlaceOf,
): Float64Array {
  const words = header.toLowerCase();
  const fraction = moments.some((m) => m?.kind === 'short' && !Number.isInteger(m.second));
  const minutesFirst = /m+:ss/.test(words) || fraction;
  if (minutesFirst || /h+:mm/.test(words)) {
    const unit = minutesFirst ? 1 : 60;
    return secondsBy(moments, (m) => (m.kind === 'short' ? unit * (60 * m.first + m.second) : null));
  }
  const first = moments.findIndex((m) => m?.kind === 'short');
  throw new Refusal(
    `${place(first)} holds "${cells[first]!.trim()}": hours and minutes, or minutes and seconds? Write h:mm:ss, or say hh:mm or mm:ss in the header.`,
  );
}

/** Seconds in the unit that the header of a column of numbers names. */
function factorOf(header: string): number {
  const words = wordsOf(header);
  if (words.some((word) => /^(?:ms|millis|milliseconds?)$/.test(word))) return 0.001;
  if (words.some((word) => /^(?:min|mins|minutes?)$/.test(word))) return 60;
  if (words.some((word) => /^(?:h|hrs?|hours?)$/.test(word))) return 3600;
  if (words.some((word) => /^(?:d|days?)$/.test(word))) return 86_400;
  return 1;
}

/** Counts from 1970 by size, each about 1973 to 2286: seconds, milliseconds, microseconds, nanoseconds. */
const EPOCHS = [1, 1e3, 1e6, 1e9].map((perSecond) => ({
  perSecond,
  low: 1e8 * perSecond,
  high: 1e10 * perSecond,
}));

function numbers(moments: readonly (Moment | null)[], header: string, place: PlaceOf): Times {
  const epochAt = (m: Moment | null) =>
    m?.kind === 'number' ? EPOCHS.findIndex(({ low, high }) => m.value >= low && m.value < high) : -1;
  const first = moments.findIndex((m) => m?.kind === 'number');
  const epoch = epochAt(moments[first]!);
  const other = moments.findIndex((m) => m?.kind === 'number' && epochAt(m) !== epoch);
  if (other !== -1) {
    throw new Refusal(
      `${place(first)} and ${place(other)} count time in different units (${valueAt(moments, first)} and ${valueAt(moments, other)}). Write all as seconds, or all as seconds or milliseconds since 1970.`,
    );
  }
  const factor = epoch === -1 ? factorOf(header) : 1 / EPOCHS[epoch]!.perSecond;
  const seconds = secondsBy(moments, (m) => (m.kind === 'number' ? m.value * factor : null));
  if (epoch === -1) requireNoDayNumbers(seconds, header, place(first));
  return { seconds, kind: epoch === -1 ? 'elapsed' : 'epoch', zoned: epoch !== -1 };
}

const valueAt = (moments: readonly (Moment | null)[], i: number) => {
  const moment = moments[i];
  return moment?.kind === 'number' ? moment.value : '';
};

/** Spreadsheets keep dates as days since 1900: about 46000, with the time of day behind the point. */
function requireNoDayNumbers(seconds: Float64Array, header: string, where: string): void {
  const known = seconds.filter((value) => Number.isFinite(value));
  const first = known[0]!;
  const span = Math.abs(known.at(-1)! - first);
  const looks =
    factorOf(header) === 1 && first > 30_000 && first < 80_000 && known.length > 2 && span > 0 && span < 31;
  if (!looks || known.every((value) => Number.isInteger(value * 10))) return;
  throw new Refusal(
    `${where} holds ${first}: the days of a spreadsheet, or seconds? Save the column as date and time (year-month-day h:mm:ss), or as elapsed seconds.`,
  );
}

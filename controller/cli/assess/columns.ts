import { unitInHeader, wordsOf } from './cells.ts';
import type { Asked, ColumnAsked } from './flags.ts';
import { counted, Refusal } from './refusal.ts';
import { isReading, type Table } from './table.ts';

/** Which column is what: places from 0, and names as people know them. */
export interface Columns {
  readonly time: number;
  /** A column of dates beside one of times of day; null where the time column is enough. */
  readonly date: number | null;
  readonly bath: number;
  readonly core: number | null;
  /** The header's cells; null where the log has none. */
  readonly header: readonly string[] | null;
  /** The row of readings to begin with. */
  readonly firstRow: number;
  readonly repairs: readonly string[];
}

/** Where the header was looked for, rows. */
const SEARCHED_ROWS = 200;

/** A column by name and place, for messages. */
export function columnName(columns: Columns, place: number): string {
  const name = columns.header?.[place]?.trim();
  return name ? `column ${place + 1} "${name}"` : `column ${place + 1}`;
}

/**
 * Finds the header, the first row of readings and the columns: by the flags, else by their names, else by their places
 * where there are only two.
 * @throws Refusal that names the columns there are.
 */
export function columnsOf(table: Table, asked: Asked['columns']): Columns {
  const { row, header } = headerOf(table, asked);
  const firstRow = row === null ? firstReadings(table) : row + 1;
  if (firstRow === null || firstRow >= table.rows.length) {
    throw new Refusal(
      `there is no row of readings${row === null ? '' : ` after the header in line ${table.lines[row]}`}. Expected a time and a bath temperature on each line.`,
    );
  }
  const width = widthOf(table, firstRow);
  const names = header ?? Array.from({ length: width }, (_, i) => String(i + 1));
  if (header !== null && table.delimiter === ',' && width > header.length)
    requireNoSplitNumbers(header, width, asked);
  const chosen = choose(names, asked, header !== null);
  const skipped = row === null ? firstRow : row;
  const repairs = [...chosen.repairs];
  if (skipped > 0)
    repairs.unshift(
      `Left out ${counted(skipped, 'line')} before the log's ${header && row !== null ? 'header' : 'first row'}.`,
    );
  return { ...chosen, header, firstRow, repairs };
}

/** The header's row, or the header from a comment line, or neither. */
function headerOf(
  table: Table,
  asked: Asked['columns'],
): { row: number | null; header: readonly string[] | null } {
  const limit = Math.min(SEARCHED_ROWS, table.rows.length);
  for (let row = 0; row < limit; row++)
    if (isHeader(table.rows[row]!, asked)) return { row, header: table.rows[row]! };
  const comment = table.comments.findLast((cells) => isHeader(cells, asked));
  if (comment) return { row: null, header: comment };
  const first = firstReadings(table);
  const before = first === null || first === 0 ? undefined : table.rows[first - 1];
  // Names nobody here knows are still names, and may carry the unit.
  const named =
    before !== undefined &&
    before.length === table.rows[first!]!.length &&
    before.every((cell) => cell.trim() !== '' && !isReading(cell.trim(), table.delimiter));
  return named ? { row: first! - 1, header: before } : { row: null, header: null };
}

/** A row that names a time and a bath, or the columns asked for by name. */
function isHeader(cells: readonly string[], asked: Asked['columns']): boolean {
  const named = (wanted: ColumnAsked | undefined, rank: (name: string) => number) =>
    wanted !== undefined && !/^\d+$/.test(wanted.trim())
      ? cells.some((cell) => same(cell, wanted))
      : cells.some((cell) => rank(cell) > 0);
  return cells.length > 1 && named(asked.time, timeRank) && named(asked.bath, bathRank);
}

/** The first row with two readings, followed by another or by nothing. */
function firstReadings(table: Table): number | null {
  const readable = (row: readonly string[] | undefined) =>
    row === undefined || row.filter((cell) => isReading(cell.trim(), table.delimiter)).length > 1;
  const found = table.rows.findIndex((row, i) => readable(row) && readable(table.rows[i + 1]));
  return found === -1 ? null : found;
}

/** How many cells most of the first rows of readings have, blanks at their end left out. */
function widthOf(table: Table, firstRow: number): number {
  const seen = new Map<number, number>();
  for (const row of table.rows.slice(firstRow, firstRow + SEARCHED_ROWS)) {
    const cells = row.findLastIndex((cell) => cell.trim() !== '') + 1;
    seen.set(cells, (seen.get(cells) ?? 0) + 1);
  }
  return [...seen].reduce((a, b) => (b[1] > a[1] ? b : a))[0];
}

type Chosen = Pick<Columns, 'time' | 'date' | 'bath' | 'core'> & { readonly repairs: readonly string[] };

function choose(names: readonly string[], asked: Asked['columns'], named: boolean): Chosen {
  const repairs: string[] = [];
  const time =
    asked.time === undefined ? bestOf(names, timeRank, 'time') : placeOf(names, asked.time, 'time', named);
  const bath =
    asked.bath === undefined ? bestOf(names, bathRank, 'bath') : placeOf(names, asked.bath, 'bath', named);
  const core = asked.core === undefined ? ownCore(names) : placeOf(names, asked.core, 'core', named);
  if (time !== null && bath !== null && time !== bath) {
    return {
      time,
      bath,
      core: core === bath ? null : core,
      date: asked.time === undefined ? dateBeside(names, time) : null,
      repairs,
    };
  }
  if (time !== null && time === bath) {
    throw new Refusal(`--time-column and --bath-column are the same column. ${found(names)}`);
  }
  if (
    names.length === 2 &&
    asked.time === undefined &&
    asked.bath === undefined &&
    unitInHeader(names[0]!) === null
  ) {
    repairs.push('Took the first of the two columns for the time and the second for the bath.');
    return { time: 0, bath: 1, core: null, date: null, repairs };
  }
  const missing = time === null ? 'time' : 'bath';
  throw new Refusal(
    `no column is known as the ${missing}. ${found(names)} Name it with --${missing}-column NAME or its number, the first being 1.`,
  );
}

/** More cells than names is what unquoted decimal commas make of a row. */
function requireNoSplitNumbers(names: readonly string[], width: number, asked: Asked['columns']): void {
  if (asked.bath !== undefined && asked.time !== undefined) return;
  throw new Refusal(
    `the rows have ${width} cells, the header names ${names.length}. If numbers are written with a decimal comma, cells must be separated by semicolons or quoted; else name the columns with --time-column and --bath-column.`,
  );
}

const found = (names: readonly string[]) =>
  `The columns are ${names
    .map((name, i) => `${i + 1} "${name.trim()}"`)
    .slice(0, 30)
    .join(', ')}.`;

const same = (a: string, b: string) => a.trim().toLowerCase() === b.trim().toLowerCase();

function placeOf(names: readonly string[], wanted: ColumnAsked, what: string, named: boolean): number {
  const text = wanted.trim();
  const exact = names.flatMap((name, i) => (named && same(name, text) ? [i] : []));
  if (exact.length === 1) return exact[0]!;
  if (exact.length > 1) {
    throw new Refusal(
      `--${what}-column "${text}" names ${exact.length} columns. Give its number: ${exact.map((i) => i + 1).join(' or ')}.`,
    );
  }
  const number = /^\d+$/.test(text) ? Number(text) : Number.NaN;
  if (number >= 1 && number <= names.length) return number - 1;
  throw new Refusal(
    `--${what}-column "${text}" is no column of this log. ${found(names)}${named ? '' : ' It has no header, so give the number.'}`,
  );
}

/** The one column of the highest rank; null where none has any. */
function bestOf(
  names: readonly string[],
  rank: (name: string) => number,
  what: 'time' | 'bath',
): number | null {
  const ranks = names.map(rank);
  const best = Math.max(0, ...ranks);
  if (best === 0) return null;
  const places = ranks.flatMap((r, i) => (r === best ? [i] : []));
  if (places.length === 1) return places[0]!;
  throw new Refusal(
    `${places.length} columns could be the ${what}: ${places.map((i) => `${i + 1} "${names[i]!.trim()}"`).join(', ')}. Choose one with --${what}-column.`,
  );
}

const TIME_WORDS =
  /^(?:time|timestamp|datetime|elapsed|seconds?|secs?|epoch|unix|uptime|t|s|minutes?|mins?|hours?|ms|millis|milliseconds)$/;

/** How surely a name is that of the time column; 0 for not at all. */
function timeRank(name: string): number {
  const words = wordsOf(name);
  if (words.length === 0) return 0;
  if (
    words.includes('timestamp') ||
    words.includes('datetime') ||
    (words.includes('date') && words.includes('time'))
  )
    return 4;
  if (words[0] === 'time') return 3;
  if (words.includes('elapsed') || words.includes('epoch') || words.includes('unix')) return 2;
  return words.includes('date') || words.every((word) => TIME_WORDS.test(word)) ? 1 : 0;
}

/** Names of what is surely not the bath, though it may be a temperature. */
const OTHER = new Set([
  'set',
  'setpoint',
  'target',
  'ambient',
  'air',
  'room',
  'outside',
  'core',
  'meat',
  'food',
  'cold',
  'hot',
  'board',
  'duty',
  'heater',
  'element',
  'time',
]);
const TEMPERATURE_WORDS = /^(?:temp(?:erature)?s?\d*|celsius|fahrenheit|probe\d*|sensor\d*|c|f|degc|degf)$/;

/** How surely a name is that of the bath; 0 for not at all. */
function bathRank(name: string): number {
  const words = wordsOf(name);
  if (words.some((word) => OTHER.has(word))) return 0;
  if (words.includes('bath')) return 3;
  if (words.includes('water')) return 2;
  return words.some((word) => TEMPERATURE_WORDS.test(word)) || /[℃℉]|°\s*[CF]/i.test(name) ? 1 : 0;
}

/** A measured core is taken unasked only where a column is named so and nothing else: others may be modelled. */
function ownCore(names: readonly string[]): number | null {
  const places = names.flatMap((name, i) => {
    const words = wordsOf(name).filter(
      (word) => !/^(?:c|f|degc|degf|deg|celsius|fahrenheit|temp|temperature|measured|probe)$/.test(word),
    );
    return words.length === 1 && words[0] === 'core' ? [i] : [];
  });
  return places.length === 1 ? places[0]! : null;
}

/** Loggers that keep the date in a column of its own. */
function dateBeside(names: readonly string[], time: number): number | null {
  const place = names.findIndex((name, i) => i !== time && same(name, 'date'));
  return place === -1 || unitInHeader(names[time]!) !== null ? null : place;
}

import { durationText } from '../../../shared/units/duration.ts';
import { unitInHeader } from './cells.ts';
import { type Columns, columnName, columnsOf } from './columns.ts';
import { decodeLog } from './decode.ts';
import type { Asked } from './flags.ts';
import { GAP_TIMES, type Gap, gapsOf, SHORTEST_GAP_S, usualSpacing } from './gaps.ts';
import { ordered, type Row } from './order.ts';
import { withoutPowerOn } from './power-on.ts';
import { counted, Refusal, someOf } from './refusal.ts';
import { delimiterName, type Table, tableOf } from './table.ts';
import { type Temperatures, temperaturesOf } from './temperatures.ts';
import { type Times, timesOf } from './times.ts';

/** A temperature log ready to be assessed: rows in order, times in seconds from the first, temperatures in C. */
export interface BathLog {
  readonly seconds: readonly number[];
  readonly bathC: readonly number[];
  /** NaN where the core was not read; null for a log without a core column. */
  readonly coreC: readonly number[] | null;
  /** For each row, whether nothing was measured between the row before and it. */
  readonly gapBefore: readonly boolean[];
  readonly gaps: readonly Gap[];
  /** UTC of the first row; null where the log has elapsed times or names no zone. */
  readonly startedAt: string | null;
  readonly about: {
    readonly rowsRead: number;
    readonly rowsUsed: number;
    readonly usualSpacingS: number;
    readonly delimiter: string;
    readonly times: Times['kind'];
    readonly unit: Temperatures['unit'];
    readonly unitFrom: string;
    readonly columns: { readonly time: string; readonly bath: string; readonly core: string | null };
  };
  readonly repairs: readonly string[];
  readonly cautions: readonly string[];
}

/** A cook takes days at most; a longer log is a clock that was wrong. */
const LONGEST_S = 30 * 86_400;
/** More unreadable rows than this share, and the column is probably another. */
const MOST_UNREADABLE = 0.5;
/** 38 C is 100 F: a log in F that stays under it is no cook. */
const NO_COOK_C = 38;
const WIDE_SPACING_S = 900;

/**
 * Reads a log from the bytes of a file.
 * @throws Refusal that says what cannot be read, in which line and column, and how to mend it.
 */
export function readLog(bytes: Uint8Array, asked: Pick<Asked, 'columns' | 'unit'>): BathLog {
  const { text, repairs: decoding } = decodeLog(bytes);
  const table = tableOf(text);
  const columns = columnsOf(table, asked.columns);
  const { rows, times, bath, repairs } = usableRows(table, columns, asked);
  const order = ordered(rows, times);
  if (order.rows.length < 2) {
    throw new Refusal('the log has one moment only; expected two rows at different times at least.');
  }
  const first = order.rows[0]!.seconds;
  const seconds = order.rows.map((row) => row.seconds - first);
  requireSpan(order.rows, seconds);
  const gapBefore = gapsOf(seconds);
  const gaps = seconds.flatMap((toS, i) => (gapBefore[i] ? [{ fromS: seconds[i - 1]!, toS }] : []));
  return {
    seconds,
    bathC: order.rows.map((row) => row.bathC),
    coreC: columns.core === null ? null : order.rows.map((row) => row.coreC),
    gapBefore,
    gaps,
    startedAt: times.zoned ? new Date(first * 1000).toISOString() : null,
    about: {
      rowsRead: table.rows.length - columns.firstRow,
      rowsUsed: order.rows.length,
      usualSpacingS: usualSpacing(seconds),
      delimiter: delimiterName[table.delimiter],
      times: times.kind,
      unit: bath.unit,
      unitFrom: bath.unitFrom,
      columns: {
        time: columnName(columns, columns.time),
        bath: columnName(columns, columns.bath),
        core: columns.core === null ? null : columnName(columns, columns.core),
      },
    },
    repairs: [...decoding, ...columns.repairs, ...repairs, ...order.repairs, ...gaps.map(gapWords)],
    cautions: [...order.cautions, ...cautionsOf(order.rows, seconds, bath)],
  };
}

interface Usable {
  readonly rows: readonly Row[];
  readonly times: Times;
  readonly bath: Temperatures;
  readonly repairs: readonly string[];
}

function usableRows(table: Table, columns: Columns, asked: Pick<Asked, 'columns' | 'unit'>): Usable {
  const { unitsRow, first } = unitsUnder(table, columns);
  const rows = table.rows.slice(first);
  const header = (place: number) => `${columns.header?.[place] ?? ''} ${unitsRow?.[place] ?? ''}`.trim();
  const cells = (place: number) => rows.map((row) => row[place] ?? '');
  const at = (place: number) => (i: number) =>
    `line ${table.lines[first + i]}, ${columnName(columns, place)}`;
  const times = timesOf(timeCells(rows, columns), header(columns.time), at(columns.time));
  const bathCells = cells(columns.bath);
  requireSomething(bathCells, at(columns.bath));
  const bath = temperaturesOf(bathCells, header(columns.bath), asked.unit, at(columns.bath));
  // A core column without a unit of its own is in the bath's.
  const core =
    columns.core === null
      ? null
      : temperaturesOf(
          cells(columns.core),
          header(columns.core),
          unitInHeader(header(columns.core)) ? undefined : bath.unit,
          at(columns.core),
        );
  const repairs: string[] = [];
  const bathC = withoutPowerOn(bath.celsius, times.seconds, (i) => table.lines[first + i]!, repairs);
  const unread: number[] = [];
  const usable: Row[] = [];
  let begun = Number.NaN;
  for (let i = 0; i < rows.length; i++) {
    const line = table.lines[first + i]!;
    if (Number.isNaN(begun)) begun = times.seconds[i]!;
    if (Number.isNaN(times.seconds[i]!) || Number.isNaN(bathC[i]!)) unread.push(line);
    else
      usable.push({
        seconds: times.seconds[i]!,
        bathC: bathC[i]!,
        coreC: core?.celsius[i] ?? Number.NaN,
        line,
      });
  }
  requireUsable(usable, unread, columns);
  requireBegun(usable, begun);
  if (unread.length > 0) repairs.push(skippedWords(unread));
  const noCore = core ? usable.filter((row) => Number.isNaN(row.coreC)).length : 0;
  if (noCore > 0)
    repairs.push(`The core was not readable in ${counted(noCore, 'row')}; the model alone counts there.`);
  if (bath.unitFrom === 'its size') {
    repairs.push(
      'No unit is named anywhere. Read as C, because as F the bath would never have been over 38 C. Give --unit to be sure.',
    );
  }
  return { rows: usable, times, bath, repairs };
}

const skippedWords = (lines: readonly number[]) =>
  `Skipped ${counted(lines.length, 'row')} with an unreadable or blank time or bath (line ${someOf(lines)}).`;

/** Some loggers write the units in a row of their own under the names. */
function unitsUnder(table: Table, columns: Columns): { unitsRow: readonly string[] | null; first: number } {
  const row = table.rows[columns.firstRow]!;
  const isUnits =
    columns.header !== null &&
    unitInHeader(row[columns.bath] ?? '') !== null &&
    !/\d/.test(row[columns.bath]!);
  const first = columns.firstRow + (isUnits && table.rows.length > columns.firstRow + 1 ? 1 : 0);
  return { unitsRow: first > columns.firstRow ? row : null, first };
}

function timeCells(rows: readonly (readonly string[])[], columns: Columns): string[] {
  const { time, date } = columns;
  return rows.map((row) =>
    date === null ? (row[time] ?? '') : `${row[date]?.trim() ?? ''} ${row[time]?.trim() ?? ''}`,
  );
}

function requireSomething(cells: readonly string[], place: (i: number) => string): void {
  if (cells.some((cell) => /\d/.test(cell))) return;
  throw new Refusal(
    `${place(0)} and all rows after it hold no number ("${cells[0]!.trim().slice(0, 40)}"); expected the bath's temperature. Choose the column with --bath-column.`,
  );
}

function requireUsable(usable: readonly Row[], unread: readonly number[], columns: Columns): void {
  const all = usable.length + unread.length;
  if (usable.length > 0 && unread.length <= MOST_UNREADABLE * all) return;
  throw new Refusal(
    `${unread.length} of ${counted(all, 'row')} have no readable time and bath (line ${someOf(unread)}), in ${columnName(columns, columns.time)} and ${columnName(columns, columns.bath)}. Choose the columns with --time-column and --bath-column.`,
  );
}

/** A log whose bath cannot be read when the food goes in would leave its first growth out. */
function requireBegun(usable: readonly Row[], begunS: number): void {
  const [first] = usable;
  const blindS = first!.seconds - begunS;
  const usual = usualSpacing(usable.slice(0, 100).map(({ seconds }) => seconds));
  if (!(blindS > SHORTEST_GAP_S && blindS > GAP_TIMES * usual)) return;
  throw new Refusal(
    `the bath cannot be read before line ${first!.line}, ${durationText(blindS)} after the log begins. If the food went in later, take the rows before that out; else what it went through is not known.`,
  );
}

function requireSpan(rows: readonly Row[], seconds: readonly number[]): void {
  const span = seconds.at(-1)!;
  if (span <= LONGEST_S) return;
  let worst = 1;
  for (let i = 1; i < seconds.length; i++) {
    if (seconds[i]! - seconds[i - 1]! > seconds[worst]! - seconds[worst - 1]!) worst = i;
  }
  throw new Refusal(
    `the log spans ${(span / 86_400).toFixed(0)} days; expected at most 30. The largest step is between line ${rows[worst - 1]!.line} and line ${rows[worst]!.line}: was the clock set there? Keep the rows of this cook.`,
  );
}

function gapWords(gap: Gap): string {
  const long = durationText(gap.toS - gap.fromS);
  return `Bridged a gap of ${long} from ${gap.fromS.toFixed(0)} s to ${gap.toS.toFixed(0)} s by the pessimistic side: no kill is credited, the water counts as the colder of its two ends, growth as at its fastest, and the worst case counts the whole gap as time in the danger zone. It is not drawn.`;
}

function cautionsOf(rows: readonly Row[], seconds: readonly number[], bath: Temperatures): string[] {
  const cautions: string[] = [];
  const hottest = rows.reduce((most, row) => Math.max(most, row.bathC), Number.NEGATIVE_INFINITY);
  if (bath.unit === 'F' && hottest < NO_COOK_C) {
    cautions.push(
      `Read as F, the bath was never over ${hottest.toFixed(1)} C. If the log is in C, name the column bath_c or give --unit C.`,
    );
  }
  const spacing = usualSpacing(seconds);
  if (spacing > WIDE_SPACING_S) {
    cautions.push(
      `The rows are ${durationText(spacing)} apart. The bath is taken to go in a straight line between them; what it did there is not known.`,
    );
  }
  return cautions;
}

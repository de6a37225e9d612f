import { parse } from 'csv-parse/sync';
import { temperatureCell } from './cells.ts';
import { momentOf } from './moments.ts';
import { Refusal } from './refusal.ts';

/** A log as rows of cells. */
export interface Table {
  readonly delimiter: Delimiter;
  readonly rows: readonly (readonly string[])[];
  /** Line of the file that each row begins on, the first being 1. */
  readonly lines: readonly number[];
  /** Cells of the first comment lines (those that begin with #), the mark taken off: some loggers put their header there. */
  readonly comments: readonly (readonly string[])[];
}

export type Delimiter = ',' | ';' | '\t';

/** In the order in which a doubt is settled: a comma may be a decimal sign, a tab is nothing else. */
const DELIMITERS: readonly Delimiter[] = ['\t', ';', ','];
export const delimiterName: Readonly<Record<Delimiter, string>> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
};
const SAMPLE_LINES = 200;
const LONGEST_LINE = 100_000;
const MOST_COMMENTS = 100;

/**
 * Cuts the text of a log into rows and cells. Quoted cells may hold anything; rows may differ in length; lines that
 * begin with # and blank lines are left out.
 * @throws Refusal where nothing in it looks like rows of cells, or a quotation mark is never closed.
 */
export function tableOf(text: string): Table {
  const delimiter = delimiterOf(text);
  const records = recordsOf(text, delimiter);
  const rows: string[][] = [];
  const lines: number[] = [];
  const comments: string[][] = [];
  let line = 1;
  for (const record of records) {
    const [first = '', ...rest] = record;
    if (first.trimStart().startsWith('#')) {
      if (comments.length < MOST_COMMENTS) comments.push([first.replace(/^\s*#+/, ''), ...rest]);
    } else if (record.some((cell) => cell.trim() !== '')) {
      rows.push(record);
      lines.push(line);
    }
    line += 1;
    for (const cell of record) if (cell.includes('\n')) line += cell.split('\n').length - 1;
  }
  return { delimiter, rows, lines, comments };
}

function recordsOf(text: string, delimiter: Delimiter): string[][] {
  try {
    return parse(text, {
      delimiter,
      record_delimiter: '\n',
      relax_column_count: true,
      relax_quotes: true,
      skip_empty_lines: false,
      max_record_size: LONGEST_LINE,
    });
  } catch (error) {
    const { code } = error as { code?: string };
    if (code === 'CSV_QUOTE_NOT_CLOSED' || code === 'CSV_MAX_RECORD_SIZE') {
      const odd = text.split('\n').findIndex((line) => line.split('"').length % 2 === 0) + 1;
      throw new Refusal(
        odd > 0
          ? `a quotation mark is never closed: line ${odd} has an odd number of them. Close the mark or take it out.`
          : `a line is longer than ${LONGEST_LINE} signs; expected a row of readings on each line.`,
      );
    }
    throw new Refusal(`the file cannot be cut into cells (${(error as Error).message.split('\n', 1)[0]}).`);
  }
}

/** The delimiter under which most lines have two cells or more that read as a time, a number or a temperature. */
function delimiterOf(text: string): Delimiter {
  const sample = text.split('\n', SAMPLE_LINES).filter((line) => line.trim() !== '' && !line.startsWith('#'));
  const scored = DELIMITERS.map((delimiter) => ({ delimiter, ...scoreOf(sample, delimiter) }));
  const best = scored.reduce((a, b) => (b.readable > a.readable ? b : a));
  if (best.readable > 0) return best.delimiter;
  // No line has readings: the widest is kept, so that the message can name its columns.
  const widest = scored.reduce((a, b) => (b.cells > a.cells ? b : a));
  if (widest.cells > 1) return widest.delimiter;
  throw new Refusal(
    'this is no log: no line has two cells. Expected a time and a bath temperature on each line, separated by comma, semicolon or tab.',
  );
}

function scoreOf(sample: readonly string[], delimiter: Delimiter): { readable: number; cells: number } {
  let readable = 0;
  let most = 0;
  for (const line of sample) {
    const cells = line.split(delimiter).map((cell) => cell.trim().replace(/^"(.*)"$/, '$1'));
    most = Math.max(most, cells.length);
    if (cells.filter((cell) => isReading(cell, delimiter)).length > 1) readable++;
  }
  return { readable, cells: most };
}

/** A cell that a log could have as a time or a value. Under commas, a comma inside a cell means it was quoted. */
export function isReading(cell: string, delimiter: Delimiter): boolean {
  if (cell === '' || (delimiter !== '\t' && cell.includes('\t'))) return false;
  return momentOf(cell) !== null || temperatureCell(cell) !== null;
}

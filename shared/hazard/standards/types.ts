import { fToC } from '../../units/temperature.ts';

/** One row of a time-temperature table: hold the core at or above `celsius` for `seconds`. */
export interface StandardRow {
  /** Exact conversion of the printed Fahrenheit; the knot the integral runs through. */
  readonly celsius: number;
  /** The lower of the document's two units: where its words begin to hold. Up to 0.05 C under `celsius`, and 0.33 C in the Food Code's 155 F (68 C). */
  readonly fromC: number;
  readonly seconds: number;
  /** The row in the document's own units, for people. */
  readonly printed: string;
}

/** A published doubt about part of a standard, told where it matters. */
export interface Doubt {
  /** It matters for credit earned below this core temperature. */
  readonly belowC: number;
  readonly words: string;
  readonly source: string;
}

interface StandardHead {
  readonly id: string;
  readonly name: string;
  readonly edition: string;
  readonly organism: string;
  readonly food: string;
  /** Log10 reduction the document aims at; null where it publishes none. */
  readonly targetLog10: number | null;
  /** Core temperatures in which it may be used: nothing is credited below, nothing faster above. */
  readonly rangeC: readonly [number, number];
  readonly source: string;
  readonly sourceUrl?: string;
  /** Whether the figures were seen in a public copy, recomputed, or are from memory. */
  readonly confirmed: string;
  readonly doubt?: Doubt;
  /** What a reader must know beside the numbers. */
  readonly note?: string;
}

/** A table of core temperatures and holding times. A row of zero seconds is instant by the document's word. */
export interface TableStandard extends StandardHead {
  readonly kind: 'table';
  readonly targetLog10: number | null;
  readonly rows: readonly StandardRow[];
}

/** Bigelow's D and z: a decimal reduction takes `dRefS` at `refC`, and `zC` more degrees make it ten times faster. */
export interface DzStandard extends StandardHead {
  readonly kind: 'dz';
  readonly dRefS: number;
  readonly refC: number;
  readonly zC: number;
  /** A second z above `refC`, where the source gives one. */
  readonly zAboveRefC?: number;
}

/** A lethality standard is a record; one integrator runs them all. */
export type Standard = TableStandard | DzStandard;

export interface PrintedRow {
  readonly degF: number;
  readonly printedC: number;
  readonly seconds: number;
}

type TableHead = Omit<TableStandard, 'kind' | 'rows' | 'rangeC'>;

/** Builds a table standard from rows as printed (degrees Fahrenheit and Celsius, seconds), lowest first. */
export function printedTable(head: TableHead, printed: readonly PrintedRow[]): TableStandard {
  const rows = printed.map(({ degF, printedC, seconds }) => ({
    celsius: fToC(degF),
    fromC: Math.min(fToC(degF), printedC),
    seconds,
    printed: `${degF} F (${printedC.toFixed(1)} C), ${dwellWords(seconds)}`,
  }));
  return { ...head, kind: 'table', rows, rangeC: rangeOf(rows) };
}

/** Builds a table standard from rows printed in whole Celsius and seconds, lowest first. */
export function celsiusTable(
  head: TableHead,
  printed: readonly (readonly [celsius: number, seconds: number])[],
) {
  const rows = printed.map(([celsius, seconds]) => ({
    celsius,
    fromC: celsius,
    seconds,
    printed: `${celsius} C, ${dwellWords(seconds)}`,
  }));
  return { ...head, kind: 'table', rows, rangeC: rangeOf(rows) } satisfies TableStandard;
}

function rangeOf(rows: readonly StandardRow[]): readonly [number, number] {
  return [rows[0]!.fromC, rows.at(-1)!.celsius];
}

function dwellWords(seconds: number): string {
  if (seconds === 0) return 'instantly';
  const minutes = seconds / 60;
  return seconds >= 60 ? `${Number(minutes.toFixed(2))} min` : `${seconds} s`;
}

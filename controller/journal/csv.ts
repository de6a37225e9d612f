import type { BagRow } from '../../shared/wire/record.ts';
import type { BagSample, Sample } from '../../shared/wire/rows.ts';

/** One column of the CSV: what stands in the header, how the sidecar describes it, how a cell is made. */
export interface Column {
  /** The header, with the unit in it. */
  readonly title: string;
  /** A name that the sidecar may use: letters, digits and _ only. */
  readonly name: string;
  readonly datatype: 'dateTimeStamp' | 'integer' | 'double' | 'string';
  readonly description: string;
  readonly unit: { readonly text: string; readonly code: string } | null;
  /** Text is neutralised, numbers never are; null leaves the cell empty. */
  cell(sample: Sample, notes: string): string | number | null;
}

// Codes of UN/ECE Recommendation 20: CEL degree Celsius, C62 one (a pure number).
const CELSIUS = { text: 'degree Celsius', code: 'CEL' };
const ONE = { text: 'one', code: 'C62' };

/** The columns of a cook: those of the bath, then four for each bag in the order the bags came. */
export function columnsOf(bags: readonly BagRow[]): Column[] {
  return [...BATH_COLUMNS, ...bags.flatMap(bagColumns)];
}

const BATH_COLUMNS: readonly Column[] = [
  {
    title: 'time',
    name: 'time',
    datatype: 'dateTimeStamp',
    description: 'Wall clock of the sample, UTC, ISO 8601.',
    unit: null,
    cell: (sample) => new Date(sample.wallMs).toISOString(),
  },
  {
    title: 'sequence',
    name: 'sequence',
    datatype: 'integer',
    description: 'Number of the tick. A number left out is a sample that is not in the log.',
    unit: ONE,
    cell: (sample) => sample.sequence,
  },
  {
    title: 'bath_c',
    name: 'bath_c',
    datatype: 'double',
    description: 'Measured bath temperature. Empty: there was no valid reading.',
    unit: CELSIUS,
    cell: (sample) => sample.bathC,
  },
  {
    title: 'setpoint_c',
    name: 'setpoint_c',
    datatype: 'double',
    description: 'Wanted bath temperature.',
    unit: CELSIUS,
    cell: (sample) => sample.setpointC,
  },
  {
    title: 'duty_ratio',
    name: 'duty_ratio',
    datatype: 'double',
    description: 'Fraction of full heat, 0 to 1.',
    unit: ONE,
    cell: (sample) => sample.duty,
  },
  {
    title: 'notes',
    name: 'notes',
    datatype: 'string',
    description: `Events, alarms and commands of this second. A leading apostrophe only keeps a spreadsheet from taking the text for a formula.`,
    unit: null,
    cell: (_sample, notes) => notes || null,
  },
];

function bagColumns(bag: BagRow, index: number): Column[] {
  const of = (
    what: string,
    description: string,
    unit: Column['unit'],
    pick: (bag: BagSample) => number,
  ): Column => ({
    title: `${bag.bagId}_${what}`,
    name: `bag${index + 1}_${what}`,
    datatype: 'double',
    description: `${bag.label} (${bag.cutId}, ${bag.thicknessMm} mm): ${description}`,
    unit,
    cell: (sample) => {
      const found = sample.bags.find(({ bagId }) => bagId === bag.bagId);
      return found ? pick(found) : null;
    },
  });
  return [
    of('core_c', 'modelled core, middle case.', CELSIUS, (found) => found.coreC),
    of('core_cold_c', 'modelled core, coldest case of the envelope.', CELSIUS, (found) => found.coldC),
    of('core_hot_c', 'modelled core, hottest case of the envelope.', CELSIUS, (found) => found.hotC),
    of('lethality_log10', 'modelled log10 reduction, worst case.', ONE, (found) => found.log10),
  ];
}

/**
 * Text that no spreadsheet takes for a formula: an apostrophe goes before a leading = + - @ (also in their full-width
 * forms), tab, carriage return or line feed (OWASP, CSV injection). It also goes before a leading apostrophe, so that the text
 * can be got back without doubt by taking one apostrophe away.
 */
export function neutralised(text: string): string {
  return /^[=+\-@\uff1d\uff0b\uff0d\uff20\t\r\n']/.test(text) ? `'${text}` : text;
}

/** One field by RFC 4180, section 2: quoted where it holds a comma, a quote or a line break. */
export function field(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const text = neutralised(value);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** One record by RFC 4180, with its CRLF. */
export function line(values: readonly (string | number | null)[]): string {
  return `${values.map(field).join(',')}\r\n`;
}

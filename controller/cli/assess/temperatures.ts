import { cToF, fToC, type TemperatureUnit } from '../../../shared/units/temperature.ts';
import { type TemperatureCell, temperatureCell, unitInHeader } from './cells.ts';
import { Refusal } from './refusal.ts';
import type { PlaceOf } from './times.ts';

/** A column of temperatures, C; NaN where a cell could not be read. */
export interface Temperatures {
  readonly celsius: Float64Array;
  readonly unit: TemperatureUnit;
  readonly unitFrom: 'the header' | '--unit' | 'its cells' | 'its size';
}

/** Water in a bath and food in it: colder is a freezer, hotter is steam or another unit. */
const COLDEST_C = -40;
const HOTTEST_C = 102;
/** A bath whose hottest reading is at least this is read as C where nothing names the unit: as F it would be 10 to 38 C. */
const SURELY_HOT = 50;
/** What a common digital sensor's library gives where no sensor answers, C and F. */
const NO_SENSOR: readonly number[] = [-127, -196.6];

/**
 * Reads a column of temperatures in its unit: of the header, of the flag, of signs in the cells.
 * @throws Refusal for a unit that is contradicted, mixed or not known, and for a temperature that cannot be.
 */
export function temperaturesOf(
  cells: readonly string[],
  header: string,
  flag: TemperatureUnit | undefined,
  place: PlaceOf,
): Temperatures {
  const read = cells.map(temperatureCell);
  requireOneDecimalSign(read, cells, place);
  const { unit, from } = unitOf(read, header, flag, place);
  const celsius = new Float64Array(cells.length);
  for (let i = 0; i < cells.length; i++) {
    const cell = read[i]!;
    const usable = cell !== null && !NO_SENSOR.includes(cell.value);
    celsius[i] = !usable ? Number.NaN : unit === 'F' ? fToC(cell.value) : cell.value;
    if (usable) requirePossible(celsius[i]!, cell.value, unit, from, () => place(i));
  }
  return { celsius, unit, unitFrom: from };
}

function requireOneDecimalSign(
  read: readonly (TemperatureCell | null)[],
  cells: readonly string[],
  place: PlaceOf,
): void {
  const point = read.findIndex((cell) => cell?.decimal === '.');
  const comma = read.findIndex((cell) => cell?.decimal === ',');
  if (point === -1 || comma === -1) return;
  throw new Refusal(
    `${place(point)} holds "${cells[point]!.trim()}" and ${place(comma)} holds "${cells[comma]!.trim()}": a point and a comma for decimals. Write all with one of them.`,
  );
}

interface Unit {
  readonly unit: TemperatureUnit;
  readonly from: Temperatures['unitFrom'];
}

function unitOf(
  read: readonly (TemperatureCell | null)[],
  header: string,
  flag: TemperatureUnit | undefined,
  place: PlaceOf,
): Unit {
  const inHeader = unitInHeader(header);
  const inC = read.findIndex((cell) => cell?.unit === 'C');
  const inF = read.findIndex((cell) => cell?.unit === 'F');
  if (inC !== -1 && inF !== -1) {
    throw new Refusal(`${place(inC)} is in C and ${place(inF)} in F. Write the whole column in one unit.`);
  }
  const inCells = inC !== -1 ? 'C' : inF !== -1 ? 'F' : null;
  if (inCells && inHeader && inCells !== inHeader) {
    throw new Refusal(
      `${place(inC !== -1 ? inC : inF)} is in ${inCells}, but the header "${header.trim()}" says ${inHeader}. Mend the one that is wrong.`,
    );
  }
  const stated = inHeader ?? inCells;
  if (stated && flag && stated !== flag) {
    const where = inHeader ? `the header "${header.trim()}"` : place(inC !== -1 ? inC : inF);
    throw new Refusal(
      `--unit says ${flag}, but ${where} says ${stated}. Leave --unit out, or rename the column.`,
    );
  }
  if (inHeader) return { unit: inHeader, from: 'the header' };
  if (flag) return { unit: flag, from: '--unit' };
  if (inCells) return { unit: inCells, from: 'its cells' };
  return guessed(read, place);
}

/** Nothing names the unit. It is taken for C only where as F the log would not be one of cooking at all. */
function guessed(read: readonly (TemperatureCell | null)[], place: PlaceOf): Unit {
  let hottest = -1;
  for (let i = 0; i < read.length; i++) {
    if (read[i] && (hottest === -1 || read[i]!.value > read[hottest]!.value)) hottest = i;
  }
  const value = read[hottest]?.value ?? Number.NaN;
  if (value >= SURELY_HOT && value <= 100) return { unit: 'C', from: 'its size' };
  throw new Refusal(
    `${place(Math.max(0, hottest))} holds ${value}, the hottest reading, and nothing says whether that is C or F. Name the column bath_c or bath_f, or give --unit C or --unit F.`,
  );
}

function requirePossible(
  celsius: number,
  written: number,
  unit: TemperatureUnit,
  from: Temperatures['unitFrom'],
  where: () => string,
): void {
  if (celsius >= COLDEST_C && celsius <= HOTTEST_C) return;
  const fahrenheit = unit === 'C' && written > HOTTEST_C && fToC(written) <= HOTTEST_C;
  const mend = fahrenheit
    ? `${written} F is ${fToC(written).toFixed(1)} C: if the log is in F, name the column bath_f or give --unit F`
    : 'if it stands for a fault of the sensor, leave that cell blank';
  const limits =
    unit === 'C' ? `${COLDEST_C} to ${HOTTEST_C} C` : `${cToF(COLDEST_C)} to ${cToF(HOTTEST_C).toFixed(0)} F`;
  throw new Refusal(
    `${where()} holds ${written} ${unit} (unit by ${from}), which water and food cannot have; expected ${limits}. Perhaps ${mend}.`,
  );
}

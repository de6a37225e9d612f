import { describe, expect, it } from 'vitest';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { lethalRate } from '../../shared/hazard/lethality-curve.ts';
import { type Standard, standardById, standards } from '../../shared/hazard/standards/index.ts';
import { fToC } from '../../shared/units/temperature.ts';
import { printedSeconds, publishedRows } from './published.ts';

/** A core held at one temperature for so many seconds, in one stretch. */
const hold = (standard: Standard, celsius: number, seconds: number) =>
  addLethality(standard, startLethality(standard), celsius, celsius, seconds, seconds);

interface Case {
  degF: number;
  printedC: number;
  seconds: number;
}

/** Checks a whole table: the words row by row, and the integral against them. Gives the largest deviation, log10. */
function checkTable(id: string, rows: readonly Case[]): number {
  const standard = standardById(id);
  if (standard.kind !== 'table') throw new Error('not a table');
  expect(standard.rows.length).toBe(rows.length);
  let largest = 0;
  rows.forEach(({ degF, printedC, seconds }, i) => {
    const row = standard.rows[i]!;
    expect(row.seconds, `${id} ${degF} F`).toBe(seconds);
    expect(row.celsius).toBeCloseTo(fToC(degF), 9);
    expect(Math.abs(row.fromC - printedC)).toBeLessThanOrEqual(0.1);
    const timed = seconds > 0;
    const held = hold(standard, fToC(degF), timed ? seconds : 1);
    expect(held.dwell?.metAtS, `${id} ${degF} F held`).toBe(timed ? seconds : 0);
    // Of several instant rows the lowest is named; the words are met all the same.
    if (!timed) return;
    expect(held.dwell?.metRow).toBe(i);
    const short = hold(standard, fToC(degF), seconds * 0.999);
    expect(short.dwell?.metAtS, `${id} ${degF} F one part in a thousand too short`).toBeNull();
    largest = Math.max(largest, Math.abs(held.log10 - standard.targetLog10!));
    expect(held.metAtS).toBeCloseTo(seconds, 3);
    expect(short.metAtS).toBeNull();
  });
  return largest;
}

describe('FSIS red-meat table (FSIS-GD-2021-0014, Table 2)', () => {
  const rows = publishedRows('fsis-meat.csv');

  for (const [id, column] of [
    ['fsis-meat-6.5', 'log65_s'],
    ['fsis-meat-7', 'log7_s'],
  ] as const) {
    it(`reproduces every row of ${column} by its words and by the integral`, () => {
      const cases = rows.map((r) => ({ degF: +r.degF!, printedC: +r.printed_c!, seconds: +r[column]! }));
      const largest = checkTable(id, cases);
      console.log(
        `${id}: ${cases.length} rows, largest deviation of the integral ${largest.toExponential(1)} log10`,
      );
      expect(largest).toBeLessThan(1e-6);
    });
  }

  it('is made by D 0.172 min at 150 F and z 10 F (Scott & Weddig 1998) to within one printed unit', () => {
    const patty = standardById('salmonella-meat-patty');
    const off = rows
      .filter((r) => +r.log65_s! > 0)
      .map(
        (r) => (+r.log65_s! - 6.5 / lethalRate(patty, fToC(+r.degF!))) / (r.printed_unit === 'min' ? 60 : 1),
      );
    console.log(
      `printed minus 6.5 D: ${Math.min(...off).toFixed(2)} to ${Math.max(...off).toFixed(2)} printed units`,
    );
    expect(Math.min(...off)).toBeGreaterThan(-0.09);
    expect(Math.max(...off)).toBeLessThan(1);
  });
});

describe('FSIS poultry tables (FSIS-GD-2021-0014, Tables 3 and 4)', () => {
  for (const species of ['chicken', 'turkey']) {
    it(`reproduces every row of every fat column for ${species} by its words and by the integral`, () => {
      const rows = publishedRows(`fsis-${species}.csv`);
      let largest = 0;
      for (let fat = 1; fat <= 12; fat++) {
        const cases = rows.map((r) => ({
          degF: +r.degF!,
          printedC: +r.printed_c!,
          seconds: printedSeconds(r[`fat${fat}`]!),
        }));
        largest = Math.max(largest, checkTable(`fsis-${species}-7-fat${fat}`, cases));
      }
      console.log(
        `${species}: ${rows.length * 12} cells, largest deviation ${largest.toExponential(1)} log10`,
      );
      expect(largest).toBeLessThan(1e-6);
    });
  }

  it('takes for other birds the longer of both tables, row by row (FSIS-GD-2021-0014)', () => {
    const chicken = publishedRows('fsis-chicken.csv');
    const turkey = publishedRows('fsis-turkey.csv');
    for (const fat of [1, 6, 12]) {
      const seconds = (i: number, rows: Record<string, string>[]) => printedSeconds(rows[i]![`fat${fat}`]!);
      const cases = chicken.map((r, i) => ({
        degF: +r.degF!,
        printedC: +r.printed_c!,
        seconds: Math.max(seconds(i, chicken), seconds(i, turkey)),
      }));
      checkTable(`fsis-other-poultry-7-fat${fat}`, cases);
    }
  });
});

describe('FDA Food Code 3-401.11', () => {
  it('reproduces every roast row by its words and by the integral', () => {
    const cases = publishedRows('food-code-roasts.csv').map((r) => ({
      degF: +r.degF!,
      printedC: +r.printed_c!,
      seconds: +r.seconds!,
    }));
    expect(checkTable('food-code-roasts', cases)).toBeLessThan(1e-6);
  });

  it('judges single rows by their words alone, since the code names no log reduction for them', () => {
    const intact = standardById('food-code-intact');
    expect(hold(intact, fToC(145), 15).dwell?.metAtS).toBe(15);
    expect(hold(intact, fToC(145), 14).dwell?.metAtS).toBeNull();
    expect(hold(intact, fToC(145), 15)).toMatchObject({ log10: 0, metAtS: null });
    const poultry = standardById('food-code-poultry');
    expect(hold(poultry, fToC(165), 1).dwell?.metAtS).toBe(0);
    expect(hold(poultry, 73.8, 3600).dwell?.metAtS).toBeNull();
  });
});

describe('outside a table', () => {
  const tables = standards.filter((s) => s.kind === 'table');

  it('credits nothing below the lowest row, however long', () => {
    for (const standard of tables) {
      const state = hold(standard, standard.rangeC[0] - 0.01, 1e6);
      expect(state.log10, standard.id).toBe(0);
      expect(state.dwell?.metAtS).toBeNull();
    }
  });

  it('credits no faster above the last row that has a time than at it', () => {
    for (const standard of tables) {
      const timed = standard.rows.filter((r) => r.seconds > 0);
      if (timed.length === 0 || standard.targetLog10 === null) continue;
      const at = lethalRate(standard, timed.at(-1)!.celsius);
      expect(lethalRate(standard, 130), standard.id).toBeCloseTo(at, 12);
      expect(hold(standard, 130, 60).log10).toBeCloseTo(at * 60, 9);
    }
  });

  it('meets an instant row the moment the core crosses it, while the integral stays an equivalent', () => {
    const standard = standardById('fsis-meat-6.5');
    const state = addLethality(standard, startLethality(standard), 60, 72, 12, 12);
    expect(state.dwell?.metAtS).toBeCloseTo(10, 4);
    expect(state.log10).toBeLessThan(6.5);
    expect(state.metAtS).toBeNull();
  });

  it('starts a row anew when the core falls below it, because the table words an unbroken hold', () => {
    const standard = standardById('fsis-meat-6.5');
    let state = addLethality(standard, startLethality(standard), 60, 60, 600, 600);
    state = addLethality(standard, state, 60, 50, 10, 610);
    state = addLethality(standard, state, 50, 60, 10, 620);
    state = addLethality(standard, state, 60, 60, 600, 1220);
    expect(state.dwell?.metAtS).toBeNull();
    expect(state.metAtS).not.toBeNull();
    state = addLethality(standard, state, 60, 60, 200, 1420);
    expect(state.dwell?.metAtS).toBeCloseTo(620 + 720, 6);
  });

  it('credits a core at the Celsius that the document prints for its lowest row, at a rate no faster than the row', () => {
    const standard = standardById('fsis-meat-6.5');
    const state = hold(standard, 54.4, 6720);
    expect(state.dwell?.metAtS).toBe(6720);
    expect(state.log10).toBeGreaterThan(6.3);
    expect(state.log10).toBeLessThan(6.5);
  });
});

import { CHICKEN_ROWS } from './fsis-chicken.ts';
import { TURKEY_ROWS } from './fsis-turkey.ts';
import { printedTable, type TableStandard } from './types.ts';

/** Degrees Fahrenheit, printed Celsius, and the seconds for 1, 2 ... 12 % fat. */
export type PoultryRow = readonly [degF: number, printedC: number, seconds: readonly number[]];

/** The document's fat columns, percent. */
export const FAT_COLUMNS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12] as const;

const SOURCE =
  'USDA FSIS, FSIS Cooking Guideline for Meat and Poultry Products (Revised Appendix A), December 2021, FSIS-GD-2021-0014';

const NOTE =
  'The times come from fits with a shoulder; three printed cells (chicken 151 F, turkey 150 and 151 F) are lower at 2 % fat than at 1 %, kept as printed. FSIS: more than 12 % fat or unknown takes the 12 % column; other species take the longer of chicken and turkey.';

const LONGER_ROWS: readonly PoultryRow[] = CHICKEN_ROWS.map((row, i) => {
  const turkey = TURKEY_ROWS[i]!;
  return [row[0], row[1], row[2].map((seconds, j) => Math.max(seconds, turkey[2][j]!))];
});

function columnsOf(
  species: string,
  table: string,
  food: string,
  rows: readonly PoultryRow[],
): TableStandard[] {
  return FAT_COLUMNS.map((fat, column) =>
    printedTable(
      {
        id: `fsis-${species}-7-fat${fat}`,
        name: `FSIS Appendix A, ${species}, 7 log, ${fat} % fat`,
        edition: 'December 2021',
        organism: 'Salmonella',
        food: `${food}, ${fat} % fat`,
        targetLog10: 7,
        source: `${SOURCE}, ${table}`,
        sourceUrl: 'https://www.fsis.usda.gov/guidelines/2021-0014',
        confirmed: 'seen in a public copy or recomputed',
        note: NOTE,
      },
      rows.map(([degF, printedC, seconds]) => ({ degF, printedC, seconds: seconds[column]! })),
    ),
  );
}

/** FSIS poultry times for 7 log of Salmonella: every fat column for chicken, turkey, and the longer of the two for other birds. */
export const FSIS_POULTRY: readonly TableStandard[] = [
  ...columnsOf('chicken', 'Table 3', 'chicken', CHICKEN_ROWS),
  ...columnsOf('turkey', 'Table 4', 'turkey', TURKEY_ROWS),
  ...columnsOf(
    'other-poultry',
    'the longer of Tables 3 and 4, row by row',
    'other poultry and mixtures',
    LONGER_ROWS,
  ),
];

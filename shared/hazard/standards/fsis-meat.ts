import { type PrintedRow, printedTable, type TableStandard } from './types.ts';

const SOURCE =
  'USDA FSIS, FSIS Cooking Guideline for Meat and Poultry Products (Revised Appendix A), December 2021, FSIS-GD-2021-0014, Table 2';

/** McMinn et al. 2018: the published doubt about the low end of these times. */
const DOUBT = {
  belowC: 60,
  words:
    'McMinn et al. (2018, abstract) found these times enough for 6.5 log of Salmonella and Shiga-toxin E. coli at 60.0, 65.6 and 71.1 C, but not at 54.4 C; Listeria was more heat-tolerant than Salmonella in roast beef, turkey and ham.',
  source: 'McMinn et al. 2018 (abstract)',
};

/**
 * The red-meat table as printed: degrees Fahrenheit, the Celsius the document prints beside it, and seconds
 * for 6.5 and 7 log of Salmonella. The document prints minutes up to 145 F and seconds above.
 */
const ROWS: readonly (readonly [degF: number, printedC: number, log65S: number, log70S: number])[] = [
  [130, 54.4, 6720, 7260],
  [131, 55.0, 5340, 5820],
  [132, 55.6, 4260, 4620],
  [133, 56.1, 3360, 3720],
  [134, 56.7, 2700, 2820],
  [135, 57.2, 2160, 2220],
  [136, 57.8, 1680, 1920],
  [137, 58.4, 1380, 1440],
  [138, 58.9, 1080, 1140],
  [139, 59.5, 900, 900],
  [140, 60.0, 720, 720],
  [141, 60.6, 540, 600],
  [142, 61.1, 480, 480],
  [143, 61.7, 360, 360],
  [144, 62.2, 300, 300],
  [145, 62.8, 240, 240],
  [146, 63.3, 169, 182],
  [147, 63.9, 134, 144],
  [148, 64.4, 107, 115],
  [149, 65.0, 85, 91],
  [150, 65.6, 67, 72],
  [151, 66.1, 54, 58],
  [152, 66.7, 43, 46],
  [153, 67.2, 34, 37],
  [154, 67.8, 27, 29],
  [155, 68.3, 22, 23],
  [156, 68.9, 17, 19],
  [157, 69.4, 14, 15],
  [158, 70.0, 0, 0],
  [159, 70.6, 0, 0],
  [160, 71.1, 0, 0],
];

const column = (index: 2 | 3): PrintedRow[] =>
  ROWS.map((row) => ({ degF: row[0], printedC: row[1], seconds: row[index] }));

const common = {
  edition: 'December 2021 (no number differs from the 1999 edition)',
  organism: 'Salmonella',
  source: SOURCE,
  sourceUrl: 'https://www.fsis.usda.gov/guidelines/2021-0014',
  confirmed: 'seen in a public copy or recomputed',
  doubt: DOUBT,
} as const;

/** FSIS red-meat times for 6.5 and 7 log of Salmonella; zero-second rows are instant by the document's own word. */
export const FSIS_MEAT: readonly TableStandard[] = [
  printedTable(
    {
      ...common,
      id: 'fsis-meat-6.5',
      name: 'FSIS Appendix A, meat, 6.5 log',
      food: 'beef roasts, cooked beef and corned beef; whole-muscle red meat',
      targetLog10: 6.5,
    },
    column(2),
  ),
  printedTable(
    {
      ...common,
      id: 'fsis-meat-7',
      name: 'FSIS Appendix A, meat, 7 log',
      food: 'red meat where 7 log is asked for: ground, mixed with poultry, or doubtful',
      targetLog10: 7,
    },
    column(3),
  ),
];

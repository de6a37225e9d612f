import { printedTable, type TableStandard } from './types.ts';

const common = {
  organism: 'Salmonella',
  sourceUrl: 'https://www.fda.gov/food/fda-food-code/food-code-2022',
  confirmed: 'seen in a public copy or recomputed',
} as const;

/** FDA Food Code 3-401.11: roasts, and the general rules whose single rows give no log target. */
export const FOOD_CODE: readonly TableStandard[] = [
  printedTable(
    {
      ...common,
      id: 'food-code-roasts',
      name: 'Food Code 3-401.11(B)(2), whole meat roasts',
      edition: 'FDA Food Code, 2009 to 2022 editions (same rows)',
      food: 'whole roasts of beef, corned beef, lamb, pork and cured pork such as ham',
      targetLog10: 6.5,
      source: 'FDA Food Code 3-401.11(B)(2)',
      note: 'The rows equal the 6.5 log column of FSIS Appendix A; heat rise after the bath may count. Some local codes use the 7 log column instead.',
    },
    [
      { degF: 130, printedC: 54.4, seconds: 6720 },
      { degF: 131, printedC: 55.0, seconds: 5340 },
      { degF: 133, printedC: 56.1, seconds: 3360 },
      { degF: 135, printedC: 57.2, seconds: 2160 },
      { degF: 136, printedC: 57.8, seconds: 1680 },
      { degF: 138, printedC: 58.9, seconds: 1080 },
      { degF: 140, printedC: 60.0, seconds: 720 },
      { degF: 142, printedC: 61.1, seconds: 480 },
      { degF: 144, printedC: 62.2, seconds: 300 },
      { degF: 145, printedC: 62.8, seconds: 240 },
      { degF: 147, printedC: 63.9, seconds: 134 },
      { degF: 149, printedC: 65.0, seconds: 85 },
      { degF: 151, printedC: 66.1, seconds: 54 },
      { degF: 153, printedC: 67.2, seconds: 34 },
      { degF: 155, printedC: 68.3, seconds: 22 },
      { degF: 157, printedC: 69.4, seconds: 14 },
      { degF: 158, printedC: 70.0, seconds: 0 },
    ],
  ),
  printedTable(
    {
      ...common,
      id: 'food-code-intact',
      name: 'Food Code 3-401.11(A)(1), fish and intact meat',
      edition: 'FDA Food Code 2022',
      food: 'fish, intact meat, eggs for immediate service',
      targetLog10: null,
      source: 'FDA Food Code 3-401.11(A)(1)',
      note: 'The code names no log reduction for this row.',
    },
    [{ degF: 145, printedC: 63, seconds: 15 }],
  ),
  printedTable(
    {
      ...common,
      id: 'food-code-comminuted',
      name: 'Food Code 3-401.11(A)(2), ground, injected or tenderised',
      edition: 'FDA Food Code 2022 (the 155 F row was 15 s up to 2013)',
      food: 'ground, injected or mechanically tenderised meat, ground fish, farmed game birds of the ratite kind',
      targetLog10: null,
      source: 'FDA Food Code 3-401.11(A)(2)',
      note: 'The code names no log reduction for these rows.',
    },
    [
      { degF: 145, printedC: 63, seconds: 180 },
      { degF: 150, printedC: 66, seconds: 60 },
      { degF: 155, printedC: 68, seconds: 17 },
      { degF: 158, printedC: 70, seconds: 0 },
    ],
  ),
  printedTable(
    {
      ...common,
      id: 'food-code-poultry',
      name: 'Food Code 3-401.11(A)(3), poultry, stuffed items, wild game',
      edition: 'FDA Food Code 2022 (15 s up to 2013)',
      food: 'poultry, stuffed items, wild game animals',
      targetLog10: null,
      source: 'FDA Food Code 3-401.11(A)(3)',
      note: 'Less than one second, that is at once. The code names no log reduction for this row.',
    },
    [{ degF: 165, printedC: 74, seconds: 0 }],
  ),
];

/**
 * ASHRAE Handbook Refrigeration (2006/2010) chapter 9, table 3, raw: percent of moisture (confirmed by the latent
 * heat in every row), protein, fat and ash (from memory), and specific heat above freezing, kJ/(kg K) (seen).
 */
export const ashraeTable3: readonly (readonly [
  item: string,
  moisture: number,
  protein: number,
  fat: number,
  ash: number,
  specificHeat: number,
])[] = [
  ['Beef brisket', 55.18, 16.94, 26.54, 0.8, 3.19],
  ['Beef carcass choice', 57.26, 17.32, 24.05, 0.81, 3.24],
  ['Beef carcass select', 58.21, 17.48, 22.55, 0.82, 3.25],
  ['Beef ribs whole (6-12)', 54.54, 16.37, 26.98, 0.77, 3.16],
  ['Beef round full cut lean', 70.83, 22.03, 4.89, 1.07, 3.52],
  ['Beef sirloin lean', 71.7, 21.24, 4.4, 1.08, 3.53],
  ['Beef tenderloin lean', 68.4, 20.78, 7.9, 1.04, 3.45],
  ['Veal lean', 75.91, 20.2, 2.87, 1.08, 3.65],
  ['Pork belly', 36.74, 9.34, 53.01, 0.49, 2.8],
  ['Pork carcass', 49.83, 13.91, 35.07, 0.72, 3.08],
  ['Pork backfat', 7.69, 2.92, 88.69, 0.7, 2.17],
  ['Pork ham cured whole lean', 68.26, 22.32, 5.71, 3.66, 3.47],
  ['Pork shoulder whole lean', 72.63, 19.55, 7.14, 1.02, 3.59],
  ['Lamb composite lean', 73.42, 20.29, 5.25, 1.06, 3.6],
  ['Lamb leg whole lean', 74.11, 20.56, 4.51, 1.07, 3.62],
  ['Chicken', 65.99, 18.6, 15.06, 0.79, 4.34],
  ['Duck', 48.5, 11.49, 39.34, 0.68, 3.06],
  ['Turkey', 70.4, 20.42, 8.02, 0.88, 3.53],
  ['Cod', 81.22, 17.81, 0.67, 1.16, 3.78],
  ['Mackerel Atlantic', 63.55, 18.6, 13.89, 1.35, 3.33],
  ['Salmon pink', 76.35, 19.94, 3.45, 1.22, 3.68],
  ['Tuna bluefin', 68.09, 23.33, 4.9, 1.18, 3.43],
];

/** ASHRAE Handbook Refrigeration chapter 9, table 7: water %, range C, measured diffusivity 1e-7 m2/s (seen in a reprint). */
export const measuredDiffusivity: readonly (readonly [
  food: string,
  water: number,
  fromC: number,
  toC: number,
  diffusivity: number,
])[] = [
  ['Beef, chuck', 66, 40, 65, 1.23],
  ['Beef, round', 71, 40, 65, 1.33],
  ['Beef, tongue', 68, 40, 65, 1.32],
  ['Halibut', 76, 40, 65, 1.47],
  ['Codfish', 81, 5, 5, 1.22],
  ['Corned beef', 65, 5, 5, 1.32],
  ['Ham, smoked', 64, 5, 5, 1.18],
];

/** Morley (1972) as in Meat Refrigeration table 13.2: water %, specific heat kJ/(kg K) (seen). */
export const morley: readonly (readonly [food: string, water: number, specificHeat: number])[] = [
  ['Beef, lean', 74.5, 3.6],
  ['Beef, lean, 0 to 100 C', 72, 3.43],
  ['Beef, fatty', 51, 2.89],
  ['Pork, lean', 57, 3.06],
  ['Pork, fatty', 39, 2.6],
  ['Mutton', 70, 3.39],
  ['Chicken, lean', 73, 3.39],
];

/** Earle, Unit Operations in Food Processing: water %, specific heat kJ/(kg K), by the rule 4.19 p + 0.84 (1 - p). */
export const earle: readonly (readonly [food: string, water: number, specificHeat: number])[] = [
  ['Beef', 75, 3.22],
  ['Fish', 70, 3.18],
  ['Lamb', 70, 3.18],
  ['Pork', 60, 2.85],
  ['Veal', 63, 2.97],
];

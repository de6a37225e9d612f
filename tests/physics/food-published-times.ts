/**
 * Published times for bagged food from 5 C in a bath held at one temperature: D. E. Baldwin's review (2012,
 * Int. J. Gastronomy and Food Science 1:15-30) and guide, seen in a public copy. Minutes by thickness in mm.
 * The assumptions behind them (diffusivity, film, beta, D and z) are from memory where not said otherwise.
 */
export interface PublishedTimes {
  readonly name: string;
  readonly diffusivity: number;
  readonly film: number;
  /** beta by thickness, mm. */
  readonly beta: (thicknessMm: number) => number;
  /** Every one must be met: D in minutes at a reference temperature, z in K, decimal reductions asked for. */
  readonly kinetics: readonly { name: string; dMin: number; atC: number; zK: number; log10: number }[];
  readonly bathC: readonly number[];
  readonly rows: readonly (readonly [thicknessMm: number, minutes: readonly number[]])[];
}

export const meatTimes: PublishedTimes = {
  name: 'meat',
  diffusivity: 1.11e-7,
  film: 95,
  beta: (mm) => (mm <= 30 ? 0 : 0.28),
  kinetics: [
    // Printed in the caption (seen).
    { name: 'E. coli', dMin: 19.35, atC: 55, zK: 4.87, log10: 5 },
    { name: 'Salmonella', dMin: 13.18, atC: 55, zK: 7.58, log10: Math.log10(3e6) },
    { name: 'Listeria', dMin: 12.66, atC: 55, zK: 9.22, log10: 6 },
  ],
  bathC: [55, 56, 57, 58, 59, 60, 61, 62, 63, 64, 65, 66],
  rows: [
    [5, [120, 75, 60, 45, 40, 30, 25, 25, 18, 16, 14, 13]],
    [10, [120, 90, 75, 55, 45, 40, 35, 30, 30, 25, 25, 25]],
    [15, [135, 105, 90, 75, 60, 55, 50, 45, 40, 40, 35, 35]],
    [20, [150, 120, 105, 90, 75, 75, 60, 55, 55, 50, 45, 45]],
    [25, [165, 135, 120, 105, 90, 90, 75, 75, 75, 60, 55, 55]],
    [30, [180, 150, 120, 120, 105, 90, 90, 90, 75, 75, 75, 75]],
    [35, [195, 165, 135, 120, 120, 105, 105, 90, 90, 90, 75, 75]],
    [40, [210, 180, 150, 135, 135, 120, 105, 105, 105, 90, 90, 90]],
    [45, [240, 195, 180, 165, 150, 135, 135, 120, 120, 105, 105, 105]],
    [50, [270, 225, 195, 180, 165, 150, 150, 135, 135, 120, 120, 120]],
    [55, [300, 255, 225, 210, 180, 180, 165, 165, 150, 150, 135, 135]],
    [60, [315, 285, 255, 225, 210, 195, 180, 180, 165, 165, 150, 150]],
    [65, [360, 315, 285, 255, 240, 225, 210, 195, 195, 180, 180, 165]],
    [70, [390, 345, 315, 285, 255, 240, 225, 225, 210, 195, 195, 195]],
  ],
};

export const poultryTimes: PublishedTimes = {
  name: 'poultry',
  diffusivity: 1.08e-7,
  film: 95,
  beta: () => 0.28,
  kinetics: [
    { name: 'Salmonella', dMin: 4.68, atC: 60, zK: 6.45, log10: 7 },
    { name: 'Listeria', dMin: 5.94, atC: 60, zK: 5.66, log10: 6 },
  ],
  bathC: [57, 58, 59, 60, 61, 62, 63, 64, 65],
  rows: [
    [5, [135, 105, 75, 45, 35, 25, 18, 15, 13]],
    [10, [135, 105, 75, 55, 40, 35, 30, 25, 20]],
    [15, [150, 105, 90, 75, 50, 45, 40, 35, 30]],
    [20, [165, 120, 105, 75, 75, 55, 50, 45, 40]],
    [25, [180, 135, 120, 90, 90, 75, 75, 60, 55]],
    [30, [195, 165, 135, 120, 105, 90, 90, 75, 75]],
    [35, [225, 180, 150, 135, 120, 105, 105, 90, 90]],
    [40, [240, 195, 165, 150, 135, 120, 120, 105, 105]],
    [45, [270, 225, 195, 180, 165, 150, 135, 120, 120]],
    [50, [285, 255, 225, 195, 180, 165, 150, 150, 135]],
    [55, [315, 270, 240, 225, 210, 195, 180, 165, 165]],
    [60, [345, 300, 270, 255, 225, 210, 195, 195, 180]],
    [65, [375, 330, 300, 270, 255, 240, 225, 210, 195]],
    [70, [420, 360, 330, 300, 285, 270, 255, 240, 225]],
  ],
};

export const leanFishTimes: PublishedTimes = {
  name: 'lean fish',
  diffusivity: 9.95e-8,
  film: 95,
  beta: () => 0.28,
  kinetics: [{ name: 'Listeria', dMin: 2.88, atC: 60, zK: 5.59, log10: 6 }],
  bathC: [55, 56, 57, 58, 59, 60],
  rows: [
    [5, [150, 105, 75, 50, 35, 30]],
    [10, [165, 120, 90, 60, 45, 35]],
    [15, [165, 120, 90, 75, 55, 50]],
    [20, [180, 135, 105, 90, 75, 60]],
    [25, [195, 150, 120, 105, 90, 75]],
    [30, [225, 180, 150, 120, 105, 105]],
    [35, [240, 195, 165, 150, 135, 120]],
    [40, [270, 225, 180, 165, 150, 135]],
    [45, [285, 240, 210, 195, 165, 150]],
    [50, [315, 270, 240, 210, 195, 180]],
    [55, [345, 300, 270, 240, 225, 210]],
    [60, [375, 330, 300, 270, 240, 225]],
    [65, [420, 360, 330, 300, 270, 255]],
    [70, [450, 405, 360, 330, 300, 285]],
  ],
};

export const fattyFishTimes: PublishedTimes = {
  name: 'fatty fish',
  diffusivity: 9.95e-8,
  film: 95,
  beta: () => 0.28,
  kinetics: [{ name: 'Listeria', dMin: 5.13, atC: 60, zK: 5.68, log10: 6 }],
  bathC: [55, 56, 57, 58, 59, 60],
  rows: [
    [5, [255, 180, 120, 90, 60, 40]],
    [10, [255, 180, 120, 90, 75, 50]],
    [15, [270, 195, 135, 105, 75, 60]],
    [20, [285, 210, 150, 120, 90, 75]],
    [25, [300, 225, 165, 135, 105, 90]],
    [30, [315, 240, 195, 150, 135, 120]],
    [35, [330, 255, 210, 180, 150, 135]],
    [40, [360, 285, 240, 195, 180, 150]],
    [45, [390, 315, 255, 225, 195, 180]],
    [50, [420, 345, 285, 255, 225, 195]],
    [55, [450, 375, 315, 285, 255, 225]],
    [60, [480, 405, 345, 315, 285, 255]],
    [65, [510, 435, 375, 345, 315, 285]],
    [70, [555, 480, 420, 375, 345, 315]],
  ],
};

/** 6 log of Listeria in thawed poultry at 55 C: the author's reply to a reader (seen in a public copy). */
export const poultry55C: readonly (readonly [thicknessMm: number, minutes: number])[] = [
  [5, 300],
  [10, 300],
  [15, 300],
  [20, 330],
  [25, 345],
  [30, 375],
  [35, 390],
  [40, 420],
  [45, 465],
  [50, 495],
  [55, 525],
  [60, 570],
  [65, 615],
  [70, 660],
];

/** Minutes to within 0.5 C of the bath: slab, cylinder-like, sphere-like (recalled rows, from memory). */
export const heatingTimes: readonly (readonly [
  thicknessMm: number,
  slab: number | null,
  cylinder: number | null,
  sphere: number | null,
])[] = [
  [5, 5, 5, 4],
  [10, 19, 11, 8],
  [15, 35, 18, 13],
  [20, 50, 30, 20],
  [25, 75, 40, 25],
  [30, 90, 50, 35],
  [35, 120, 60, 45],
  [40, 150, 75, 55],
  [45, 180, 90, 75],
  [50, 210, 120, 90],
  [55, 240, 135, 90],
  [60, 285, 150, 120],
  [65, 330, 180, 135],
  [70, null, 210, 150],
  [75, null, 225, 165],
  [80, null, 255, 180],
  [85, null, 285, 210],
  [90, null, 315, 225],
  [95, null, 360, 255],
  [100, null, null, 285],
  [105, null, null, 300],
  [110, null, null, 330],
  [115, null, null, 360],
];

/** What moves the water past the bag. */
export type Circulation = 'pumped' | 'still';

/** How the bag lies: wholly under the water, partly out of it, or afloat. */
export type BagState = 'under' | 'partly-out' | 'afloat';

/** A film coefficient with its spread, W/(m2 K). */
export interface Film {
  low: number;
  middle: number;
  high: number;
  /** True where the food may not be credited with any heating meanwhile (see earnsCredit). */
  noCredit: boolean;
}

export interface FilmConditions {
  circulation: Circulation;
  waterC: number;
  /** Mean layer of air between food and film over the whole bag, mm; 0 where the air was driven out. */
  airLayerMm?: number;
  bag?: BagState;
}

interface WaterSide {
  readonly low: number;
  readonly middle: number;
  readonly high: number;
  readonly source: string;
  /** Factor on these at other water temperatures: rows of C and factor, straight between, held at the ends. */
  readonly byTemperature: readonly (readonly [celsius: number, factor: number])[];
}

/** Water side of the bag at 50 C, W/(m2 K). */
export const waterSide: Readonly<Record<Circulation, WaterSide>> = {
  still: {
    low: 57,
    middle: 110,
    high: 248,
    source:
      '57 to 248 measured on pieces of food in still, water-like fluids (Carino-Sarabia and Velez-Ruiz 2013); ' +
      'the middle is the mean of their logarithms, near the 95 of the review Baldwin 2012 (from memory)',
    // Churchill and Chu, vertical plate 0.1 m, 1 K: 302, 380, 413 W/(m2 K) at 30, 50, 60 C. The other rows by
    // k (expansion / (viscosity x diffusivity))^0.29 with water's properties from memory. Near 4 C water hardly rises.
    byTemperature: [
      [4, 0.25],
      [10, 0.49],
      [30, 0.795],
      [50, 1],
      [60, 1.087],
      [90, 1.32],
    ],
  },
  pumped: {
    low: 200,
    middle: 300,
    high: 500,
    source: '200 to 500 for stirred and circulated water baths (range in the literature, from memory)',
    // Laminar flow along a plate: k Pr^(1/3) viscosity^(-1/2), water's properties from memory.
    byTemperature: [
      [10, 0.81],
      [30, 0.92],
      [50, 1],
      [60, 1.04],
      [90, 1.12],
    ],
  },
};

/** Plastic of the bag, 80 um at 0.4 W/(m K): hardly a resistance. */
const bagWall = 5000;
/** Still air near 60 C, W/(m K): 1 mm of it alone is 27 W/(m2 K). */
const airConductivity = 0.027;

function factorAt(rows: WaterSide['byTemperature'], celsius: number): number {
  const [firstC, first] = rows[0]!;
  if (celsius <= firstC) return first;
  // Indices, not destructuring: a log of days asks a million times.
  for (let i = 1; i < rows.length; i++) {
    const row = rows[i]!;
    if (celsius > row[0]) continue;
    const below = rows[i - 1]!;
    return below[1] + ((row[1] - below[1]) * (celsius - below[0])) / (row[0] - below[0]);
  }
  return rows.at(-1)![1];
}

/** True while the bag lies wholly under the water; only then may its food be credited with the water's heat. */
export function earnsCredit(bag: BagState): boolean {
  return bag === 'under';
}

/**
 * Film coefficient from water to food for the conditions, with spread: water side, bag wall and trapped air
 * in series. The low case has all the air on one face, twice the mean layer; the high case has half of it.
 * A bag afloat or partly out: low is 0 (no heat is counted), high as if under (growth goes on), noCredit is true.
 * @throws RangeError for a negative layer of air or a temperature that is no number.
 */
export function filmFor(conditions: FilmConditions): Film {
  const { circulation, waterC, airLayerMm = 0, bag = 'under' } = conditions;
  if (!Number.isFinite(waterC)) throw new RangeError(`waterC is ${waterC}; expected a temperature in C.`);
  if (!(airLayerMm >= 0 && airLayerMm < 100)) {
    throw new RangeError(
      `airLayerMm is ${airLayerMm}; expected 0 to 100 mm: the air's volume over the bag's area.`,
    );
  }
  const side = waterSide[circulation];
  const factor = factorAt(side.byTemperature, waterC);
  const through = (water: number, layerMm: number): number =>
    1 / (1 / (water * factor) + 1 / bagWall + layerMm / 1000 / airConductivity);
  const middle = through(side.middle, airLayerMm);
  const high = through(side.high, airLayerMm / 2);
  if (!earnsCredit(bag)) return { low: 0, middle: middle / 2, high, noCredit: true };
  return { low: through(side.low, airLayerMm * 2), middle, high, noCredit: false };
}

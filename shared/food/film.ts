/** What moves the water past the bag. */
export type Circulation = 'pumped' | 'still';

/** How the bag lies: wholly under the water, partly out of it, afloat, or nobody knows. */
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

/**
 * Water side of the bag at 50 C, W/(m2 K).
 * still: 57..248 measured on food pieces in still water-like fluids (Carino-Sarabia & Velez-Ruiz 2013); the
 * middle is near the 95 of Baldwin's 2012 review (from memory).
 * pumped: 200..500 for stirred and circulated baths (literature range, from memory).
 */
const waterSide: Record<Circulation, { low: number; middle: number; high: number }> = {
  still: { low: 57, middle: 110, high: 248 },
  pumped: { low: 200, middle: 300, high: 500 },
};

/** Free convection on a 0.1 m plate at 1 K, relative to 50 C: Churchill & Chu, 302/380/413 W/(m2 K) at 30/50/60 C. */
const temperatureFactor: readonly (readonly [number, number])[] = [
  [0, 0.48],
  [30, 0.795],
  [50, 1],
  [60, 1.087],
  [100, 1.4],
];

/** Plastic of the bag, 80 um at 0.4 W/(m K). */
const bagWall = 5000;
/** Still air near 60 C, W/(m K): 1 mm of it alone is 27 W/(m2 K). */
const airConductivity = 0.027;

function factorAt(celsius: number): number {
  const points = temperatureFactor;
  const first = points[0]!;
  if (celsius <= first[0]) return first[1];
  for (let i = 1; i < points.length; i++) {
    const [t1, f1] = points[i]!;
    const [t0, f0] = points[i - 1]!;
    if (celsius <= t1) return f0 + ((f1 - f0) * (celsius - t0)) / (t1 - t0);
  }
  return points[points.length - 1]![1];
}

/** True while the bag lies wholly under the water; only then may its food be credited with the water's heat. */
export function earnsCredit(bag: BagState): boolean {
  return bag === 'under';
}

/**
 * Film coefficient from water to food for the conditions, with spread: water side, bag wall and trapped air
 * in series. In the low case the air lies on one face only, at twice the mean layer.
 * A bag afloat or partly out: low is 0 (no heat counted), high as if under (growth goes on), noCredit is true.
 * @throws RangeError for a negative layer of air or a temperature that is no number.
 */
export function filmFor(conditions: FilmConditions): Film {
  const { circulation, waterC, airLayerMm = 0, bag = 'under' } = conditions;
  if (!Number.isFinite(waterC)) throw new RangeError(`waterC is ${waterC}; expected a temperature in C.`);
  if (!(airLayerMm >= 0 && airLayerMm < 100)) {
    throw new RangeError(
      `airLayerMm is ${airLayerMm}; expected 0 to 100 mm. Divide the air's volume by the bag's area.`,
    );
  }
  const factor = factorAt(waterC);
  const side = waterSide[circulation];
  const through = (water: number, layerMm: number): number =>
    1 / (1 / (water * factor) + 1 / bagWall + layerMm / 1000 / airConductivity);
  const high = through(side.high, airLayerMm / 2);
  if (!earnsCredit(bag))
    return { low: 0, middle: through(side.middle, airLayerMm) / 2, high, noCredit: true };
  return {
    low: through(side.low, airLayerMm * 2),
    middle: through(side.middle, airLayerMm),
    high,
    noCredit: false,
  };
}

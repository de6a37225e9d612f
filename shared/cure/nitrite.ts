/**
 * Nitrite: off unless asked for, by weight only, with hard stops.
 * Formulas and limits: USDA FSIS Directive 7620.3 (Processing Inspectors' Calculations Handbook, rev. 1995), chapter 3;
 * 9 CFR 424.22(b) for bacon; 21 CFR 172.170 for curing at home. ppm is always on the green (raw) weight.
 */

/** How curing salt meets the meat; each has its own formula and limit. */
export type NitriteMethod =
  | 'comminuted'
  | 'pumped'
  | 'immersion-pick-up'
  | 'immersion-equilibrium'
  | 'dry'
  | 'bacon-pumped'
  | 'bacon-immersion'
  | 'bacon-dry';

/** A regulatory limit. */
export interface NitriteLimit {
  readonly method: NitriteMethod;
  readonly maxPpm: number;
  /** Where the salt is potassium nitrite; null where the source gives no figure of its own. */
  readonly maxPotassiumPpm: number | null;
  readonly source: string;
}

const HANDBOOK = 'USDA FSIS Directive 7620.3 (rev. 1995), pp. 12-31';
const BACON = '9 CFR 424.22(b), from FSIS Directive 7620.3; potassium figures from memory';

/** Ingoing limits by method. */
export const NITRITE_LIMITS: readonly NitriteLimit[] = [
  { method: 'comminuted', maxPpm: 156, maxPotassiumPpm: null, source: HANDBOOK },
  { method: 'pumped', maxPpm: 200, maxPotassiumPpm: null, source: HANDBOOK },
  { method: 'immersion-pick-up', maxPpm: 200, maxPotassiumPpm: null, source: HANDBOOK },
  { method: 'immersion-equilibrium', maxPpm: 200, maxPotassiumPpm: null, source: HANDBOOK },
  { method: 'dry', maxPpm: 625, maxPotassiumPpm: null, source: HANDBOOK },
  { method: 'bacon-pumped', maxPpm: 120, maxPotassiumPpm: 148, source: BACON },
  { method: 'bacon-immersion', maxPpm: 120, maxPotassiumPpm: 148, source: BACON },
  { method: 'bacon-dry', maxPpm: 200, maxPotassiumPpm: 246, source: BACON },
];

/** Finished meat cured at home, ppm nitrite: what stops first in this tool, whatever the method allows a plant. */
export const HOME_MAX_PPM = 200;
/** Where the limit for curing at home is from. */
export const HOME_SOURCE = '21 CFR 172.170: home cure, at most 200 ppm nitrite in the finished meat';
/** Least that counts for "keep refrigerated" cured products, ppm. */
export const USUAL_MIN_PPM = 120;
/** More nitrite than this in a curing salt is pure salt of nitrite or a slip of the decimal point. */
const MOST_FRACTION = 0.1;
/** Skin takes up no cure (FSIS Directive 7620.3): weight counts so much with it on. */
const SKIN_ON = 0.9;

/** Ingoing ppm of nitrite spread through `overG` grams. */
export function ppm(nitriteG: number, overG: number): number {
  if (!(nitriteG >= 0 && overG > 0)) {
    throw new RangeError(`${nitriteG} g of nitrite in ${overG} g; expected 0 or more in a weight above 0.`);
  }
  return (nitriteG / overG) * 1e6;
}

/** Tenths of a gram, downwards: a limit is never rounded up. */
const tenthsDown = (grams: number) => (Math.floor(10 * grams + 1e-9) / 10).toFixed(1);

/** What is known about a cure with nitrite. Weights only: nitrite is never measured by volume. */
export interface NitriteAsked {
  readonly method: NitriteMethod;
  /** Curing salt, g: into the meat or, for pumped and immersion, into the brine. */
  readonly curingSaltG: number;
  /** Share of nitrite in it: 0.0625 for 6.25 %. */
  readonly nitriteFraction: number;
  readonly potassium?: boolean;
  /** Raw weight of the meat. */
  readonly meatKg: number;
  readonly skinOn?: boolean;
  /** Brine with everything in it, and the share of the meat's weight that it takes up; for pumped and immersion. */
  readonly brineKg?: number;
  readonly pickUpFraction?: number;
}

/** Nitrite worked out and judged. */
export interface NitriteResult {
  readonly ppm: number;
  readonly limitPpm: number;
  /** Not null: nothing may be made of it. */
  readonly stop: string | null;
  /** Salt that comes in with the curing salt: it counts toward the salt of the cure. */
  readonly saltG: number;
  readonly words: string;
  readonly cautions: readonly string[];
  readonly source: string;
}

/** Said with every cure that has nitrite. */
export const NITRITE_CAUTIONS: readonly string[] = [
  'Not needed for meat that is cooked and served the same day. It is for colour, flavour and for keeping.',
  'By weight only, on a scale that shows 0.1 g; never by the spoon, never by eye.',
  'Curing salt must be dyed and labelled, kept apart from kitchen salt and out of the reach of children: a few grams of pure nitrite kill.',
  'It must be mixed through evenly; nitrite moves through meat a hundred times slower than salt.',
  'No credit is taken for nitrite when cooking or cooling is judged.',
];

/**
 * Ingoing nitrite by the published formulas, with hard stops at the regulatory limits and at that for curing at home.
 * @throws RangeError for figures that are none, or a method without its brine
 */
export function nitrite(asked: NitriteAsked): NitriteResult {
  const { curingSaltG, nitriteFraction, meatKg } = asked;
  if (!(curingSaltG > 0 && meatKg > 0)) {
    throw new RangeError(`${curingSaltG} g of curing salt for ${meatKg} kg; expected weights above 0.`);
  }
  if (!(nitriteFraction > 0 && nitriteFraction <= MOST_FRACTION)) {
    throw new RangeError(
      `a nitrite share of ${nitriteFraction}; expected above 0 to ${MOST_FRACTION} (6.25 % is 0.0625). Purer salts are not for kitchens.`,
    );
  }
  const greenG = meatKg * 1000 * (asked.skinOn ? SKIN_ON : 1);
  const nitriteG = curingSaltG * nitriteFraction;
  const ingoing = ingoingPpm(asked, nitriteG, greenG);
  const limit = NITRITE_LIMITS.find((l) => l.method === asked.method)!;
  const own = (asked.potassium ? limit.maxPotassiumPpm : null) ?? limit.maxPpm;
  const limitPpm = Math.min(own, HOME_MAX_PPM);
  const source = limitPpm < own ? `${HOME_SOURCE}; method: ${limit.source}` : limit.source;
  const over = ingoing > limitPpm * (1 + 1e-9);
  return {
    ppm: ingoing,
    limitPpm,
    stop: over
      ? `STOP: ${ingoing.toFixed(0)} ppm of nitrite is over the limit of ${limitPpm} ppm (${source}). Do not make this. At most ${tenthsDown((curingSaltG * limitPpm) / ingoing)} g of this curing salt.`
      : null,
    saltG: saltWith(asked, greenG),
    words: `${ingoing.toFixed(0)} ppm of nitrite on the raw weight; limit ${limitPpm} ppm.${ingoing < USUAL_MIN_PPM ? ` Under ${USUAL_MIN_PPM} ppm it does not count as cured for keeping.` : ''}`,
    cautions: NITRITE_CAUTIONS,
    source,
  };
}

const dryMethods: ReadonlySet<NitriteMethod> = new Set<NitriteMethod>(['comminuted', 'dry', 'bacon-dry']);

function ingoingPpm(asked: NitriteAsked, nitriteG: number, greenG: number): number {
  if (dryMethods.has(asked.method)) return ppm(nitriteG, greenG);
  const brineG = (asked.brineKg ?? 0) * 1000;
  if (!(brineG > 0)) {
    throw new RangeError(
      `method ${asked.method} needs the weight of the whole brine, with all that is in it.`,
    );
  }
  if (asked.method === 'immersion-equilibrium') return ppm(nitriteG, greenG + brineG);
  const share = asked.pickUpFraction ?? 0;
  if (!(share > 0 && share < 1)) {
    throw new RangeError(
      `method ${asked.method} needs the share of brine the meat takes up, above 0 and under 1 (10 % is 0.1).`,
    );
  }
  return ppm(nitriteG, brineG) * share;
}

/** Kitchen salt that the curing salt brings into the meat itself, g. */
function saltWith(asked: NitriteAsked, greenG: number): number {
  const saltG = asked.curingSaltG * (1 - asked.nitriteFraction);
  if (dryMethods.has(asked.method)) return saltG;
  const brineG = (asked.brineKg ?? 0) * 1000;
  if (asked.method === 'immersion-equilibrium') return (saltG * greenG) / (greenG + brineG);
  return (saltG / brineG) * (asked.pickUpFraction ?? 0) * greenG;
}

/** A published speed of growth against temperature, per hour in natural-log units, with the state spores start from. */
export interface GrowthModel {
  readonly id: string;
  readonly name: string;
  readonly minC: number;
  readonly maxC: number;
  /** Specific growth rate, ln units an hour, inside minC..maxC. */
  readonly ratePerH: (celsius: number) => number;
  /** Baranyi's q0: how ready the spores are; the lag at a steady temperature is ln(1 + 1/q0) / rate. */
  readonly q0: number;
  readonly source: string;
  readonly confirmed: string;
  readonly doubt: string;
}

/**
 * The source of the first model does not say whether its rate is in natural or decimal logs. It is read as natural:
 * every species then keeps within 1 log under FSIS cooling option 1, the decimal reading does not.
 */
export const LN_PER_RATE_UNIT = 1;

const UNIT_DOUBT =
  'The unit of the rate is not stated where it was seen; read as natural logarithm an hour. So the faster of this model and an independent one is used.';

/** Ratkowsky 1983: sqrt(rate) = a (T - Tmin) sqrt(1 - exp(b (T - Tmax))). */
const ratkowsky = (a: number, minC: number, b: number, maxC: number) => (celsius: number) =>
  LN_PER_RATE_UNIT * (a * (celsius - minC)) ** 2 * (1 - Math.exp(b * (celsius - maxC)));

const JUNEJA_2011 =
  'Juneja, Marks, Huang & Thippareddi 2011, Food Microbiology 28:791-795, uncured meat and poultry';

function juneja(species: string, a: number, minC: number, b: number, maxC: number, q0: number): GrowthModel {
  const slip =
    species === 'beef'
      ? ' Its q0 is five times that of the other two and may be a slip; it is the faster side.'
      : '';
  return {
    id: `perfringens-juneja-${species}`,
    name: `C. perfringens in cooked uncured ${species}, Juneja 2011`,
    minC,
    maxC,
    ratePerH: ratkowsky(a, minC, b, maxC),
    q0,
    source: JUNEJA_2011,
    confirmed: 'seen in a public copy (a database transcription)',
    doubt: UNIT_DOUBT + slip,
  };
}

/** The species models of Juneja 2011. */
export const JUNEJA: Readonly<Record<'beef' | 'chicken' | 'pork', GrowthModel>> = {
  beef: juneja('beef', 0.05, 10.15, 0.238, 53.0, 0.0699),
  chicken: juneja('chicken', 0.048, 9.74, 0.208, 52.1, 0.0105),
  pork: juneja('pork', 0.047, 10.69, 0.252, 52.8, 0.0137),
};

/** Water activity factor and pH factor of Le Marc 2008 without salt and at pH 6.25: no credit for cure salt at the core. */
const NO_SALT = (1 - 0.9755) * (2 - 1 - 0.9755);
const PH_FACTOR = 6.25 - 4.76;

/** The independent model: Le Marc 2008 for bulk meat, with the spore state of the pork model above. */
export const LE_MARC: GrowthModel = {
  id: 'perfringens-le-marc',
  name: 'C. perfringens in bulk meat, pH 6.25, no salt, Le Marc 2008',
  minC: 12.2,
  maxC: 54.47,
  ratePerH: (celsius) =>
    7.45 * (celsius - 12.2) ** 2 * (1 - Math.exp(0.095 * (celsius - 54.47))) * NO_SALT * PH_FACTOR,
  q0: 0.0137,
  source: 'Le Marc et al. 2008, Int J Food Microbiol 128:41-50, bulk meat',
  confirmed: 'seen in a public copy (a database transcription)',
  doubt:
    'Natural-log units are the reading of its Baranyi form. Its own spore state was not found; that of the Juneja 2011 pork model is used. pH 6.25 is taken for every food: meat is usually more acid and slower.',
};

/** The two models a food is judged by, the published one of its kind first. Foods with none of their own take beef, the fastest. */
export function growthModelsFor(species: string): readonly [GrowthModel, GrowthModel] {
  const s = species.toLowerCase();
  if (['chicken', 'turkey', 'duck', 'goose', 'poultry'].includes(s)) return [JUNEJA.chicken, LE_MARC];
  if (['pork', 'wild-boar'].includes(s)) return [JUNEJA.pork, LE_MARC];
  return [JUNEJA.beef, LE_MARC];
}

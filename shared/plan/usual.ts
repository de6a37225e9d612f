/** What is usual where nobody said: common practice without a source unless a line says otherwise. */
import type { Cut } from '../food/cuts.ts';
import type { Endpoint } from '../tender/classes.ts';
import type { BathRange } from './types.ts';
import type { Night } from './zone.ts';

/** Source of what every cook knows and nobody published here. */
export const PRACTICE = 'common practice, no source';
const MINUTE_S = 60;

/** Odds wanted. */
export const USUAL_ODDS = 0.8;
/** Hours in which nobody is woken. */
export const USUAL_NIGHT: Night = { fromMin: 22 * 60, toMin: 6 * 60 };
/** Fridge, C. */
export const USUAL_FRIDGE_C = 4;
/** Salt of the raw weight, percent (1 to 2.5 is usual). */
export const USUAL_SALT_PERCENT = 1.5;
/** Overnight, s. */
export const USUAL_CURE_S = 12 * 3600;
/** Heaviest bag that is still handy, kg. */
export const MOST_BAG_KG = 2.5;
/** Bags that one bath holds in the plan: the design load. */
export const MOST_BAGS = 8;

/** Raw weight for each person, kg. */
export function portionKg(cut: Cut): number {
  if (cut.boneIn) return 0.35;
  if (cut.ground || cut.family === 'fish') return 0.18;
  return 0.225;
}

/** Tough cuts: from where softening goes on at a useful pace to the end of what the model was fitted on. */
const TOUGH: BathRange = { lowC: 66, wantedC: 74, highC: 82 };

/**
 * Bath temperatures for a cut. Tender cuts are cooked to a doneness, so their range is narrow; fish begins where its
 * lethality table surely does (63 C and the probe's error, FDA fish hazards guide); ground food where both tables hold it only minutes.
 */
export function usualBath(cut: Cut): BathRange {
  if (cut.tendernessClass !== null) return TOUGH;
  if (cut.ground) return { lowC: 65, wantedC: 68, highC: 75 };
  if (cut.family === 'fish') return { lowC: 64, wantedC: 65, highC: 68 };
  if (cut.family === 'poultry' && cut.species !== 'duck') return { lowC: 61, wantedC: 64, highC: 67 };
  if (cut.species === 'pork' || cut.species === 'veal') return { lowC: 59, wantedC: 61.5, highC: 65 };
  return { lowC: 57.5, wantedC: 58.5, highC: 61 };
}

/** What a cut is cooked to where nobody said. */
export function usualEndpoint(cut: Cut): Endpoint {
  return cut.tendernessClass === null ? 'sliceable' : 'fork-tender';
}

/** Seconds between the bath and the table. */
export interface Tail {
  readonly restS: number;
  /** Pat dry and brown, or for shreds: pull apart. */
  readonly finishS: number;
  readonly plateS: number;
}

/** The way from bath to table of a dish. */
export function tailOf(cut: Cut, endpoint: Endpoint): Tail {
  const plateS = 10 * MINUTE_S;
  if (endpoint === 'shreds') return { restS: 10 * MINUTE_S, finishS: 15 * MINUTE_S, plateS };
  if (cut.family === 'fish' || cut.ground) return { restS: 0, finishS: 5 * MINUTE_S, plateS };
  return { restS: 10 * MINUTE_S, finishS: 10 * MINUTE_S, plateS };
}

/** The whole way from bath to table, s. */
export const tailS = ({ restS, finishS, plateS }: Tail) => restS + finishS + plateS;

/** Time to bag so many pieces, s. */
export const baggingS = (bags: number) => (10 + 5 * bags) * MINUTE_S;
/** Rinse, look, pat dry after a packed cure, s. */
export const RINSE_S = 20 * MINUTE_S;

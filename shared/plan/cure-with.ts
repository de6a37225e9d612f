/** What goes on the meat with the salt: spices by weight, and curing salt where it was asked for. */
import type { Cure } from '../cure/cure.ts';
import { round } from './step.ts';
import type { CureWanted, Step } from './types.ts';

/** Keys of a cure step's amounts that are grams of a spice: this, its id, and `G`. */
export const AROMATIC_KEY = 'aromatic.';

/** Under so long in the fridge nitrite stays near the face of a whole piece, s (common practice, no source: days, not hours). */
const NITRITE_TIME_S = 24 * 3600;

/** Of a cure step: amounts, what to do, what to mind and where it is from. */
export interface CureWith {
  readonly amounts: Step['amounts'];
  /** What else is weighed, to stand after the kitchen salt; empty where nothing is. */
  readonly weigh: string;
  /** What is to be known of it, to stand last. */
  readonly afterwards: string;
  readonly cautions: readonly string[];
  readonly sources: readonly string[];
}

/** Puts spices and curing salt of a cure into its step; a hard stop has been judged before (completeCure). */
export function cureWith(wanted: CureWanted | null, cure: Cure): CureWith {
  const { aromatics, nitrite } = cure;
  const curingSaltG = wanted?.nitrite?.curingSaltG ?? 0;
  const grams = (value: number) => value.toFixed(value < 10 ? 1 : 0);
  const named = aromatics.map((one) => `${grams(one.grams)} g of ${one.name}`);
  const packed = cure.method === 'packed';
  const curing = nitrite
    ? [`${curingSaltG.toFixed(1)} g of curing salt to a tenth of a gram, mix the two through evenly`]
    : [];
  const weigh = [...curing, ...(packed ? [] : named)].map((one) => `, weigh ${one}`).join('');
  const forBag = packed && named.length > 0 ? ` For the bag, after the rinse: ${named.join('; ')}.` : '';
  return {
    amounts: {
      ...Object.fromEntries(aromatics.map((one) => [`${AROMATIC_KEY}${one.id}G`, round(one.grams)])),
      ...(nitrite
        ? {
            curingSaltG: round(curingSaltG),
            curingSaltBringsG: round(nitrite.saltG),
            nitritePpm: Math.ceil(nitrite.ppm - 1e-6),
          }
        : {}),
    },
    weigh,
    afterwards: `${nitrite ? ` ${nitrite.words}` : ''}${forBag}`,
    cautions: [
      ...aromatics.map((one) => one.caution).filter((words) => words !== ''),
      ...(nitrite && cure.fridgeS < NITRITE_TIME_S
        ? ['In this time nitrite stays near the face: it goes through a thick piece in days, not hours.']
        : []),
      ...(nitrite?.cautions ?? []),
    ],
    sources: [
      ...(nitrite ? [nitrite.source] : []),
      ...(aromatics[0] ? [`spices: ${aromatics[0].source}`] : []),
    ],
  };
}

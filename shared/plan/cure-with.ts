/** What goes on the meat with the salt: spices by weight, and curing salt where it was asked for. */
import type { Cure } from '../cure/cure.ts';
import { round } from './step.ts';
import type { CureWanted, Step } from './types.ts';

/** Keys of a cure step's amounts that are grams of a spice: this, its id, and `G`. */
export const AROMATIC_KEY = 'aromatic.';

/** Of a cure step: amounts, what to do, what to mind and where it is from. */
export interface CureWith {
  readonly amounts: Step['amounts'];
  readonly how: string;
  readonly cautions: readonly string[];
  readonly sources: readonly string[];
}

/** Puts spices and curing salt of a cure into its step; a hard stop has been judged before (completeCure). */
export function cureWith(wanted: CureWanted | null, cure: Cure): CureWith {
  const { aromatics, nitrite } = cure;
  const curingSaltG = wanted?.nitrite?.curingSaltG ?? 0;
  const grams = (value: number) => value.toFixed(value < 10 ? 1 : 0);
  const named = aromatics.map((one) => `${grams(one.grams)} g of ${one.name}`).join('; ');
  const spices =
    named === ''
      ? ''
      : cure.method === 'packed'
        ? ` For the bag, after the rinse: ${named}.`
        : ` With it: ${named}.`;
  const curing = nitrite
    ? ` Into the salt first, mixed through evenly: ${curingSaltG.toFixed(1)} g of curing salt, weighed to 0.1 g. ${nitrite.words}`
    : '';
  return {
    amounts: {
      ...Object.fromEntries(aromatics.map((one) => [`${AROMATIC_KEY}${one.id}G`, round(one.grams)])),
      ...(nitrite ? { curingSaltG: round(curingSaltG), nitritePpm: Math.ceil(nitrite.ppm - 1e-6) } : {}),
    },
    how: `${curing}${spices}`,
    cautions: [
      ...aromatics.map((one) => one.caution).filter((words) => words !== ''),
      ...(nitrite?.cautions ?? []),
    ],
    sources: [
      ...(nitrite ? [nitrite.source] : []),
      ...(aromatics[0] ? [`spices: ${aromatics[0].source}`] : []),
    ],
  };
}

import type { Cut } from './cut.ts';
import { beefAndVeal } from './cuts-beef-veal.ts';
import { fishAndVegetable } from './cuts-fish-vegetable.ts';
import { porkAndLamb } from './cuts-pork-lamb.ts';
import { poultryAndGame } from './cuts-poultry-game.ts';

export type { Cut, Family, LethalityFood, Species, TendernessClass } from './cut.ts';
export { boneInNote, groundNote } from './cut.ts';

/** Every cut this tool knows, by family. */
export const cuts: readonly Cut[] = [...beefAndVeal, ...porkAndLamb, ...poultryAndGame, ...fishAndVegetable];

const byId = new Map(cuts.map((cut) => [cut.id, cut]));

/** The cut of that id, or undefined where there is none. */
export function cutById(id: string): Cut | undefined {
  return byId.get(id);
}

/** A food this tool will not judge, and why. */
export interface RefusedFood {
  readonly id: string;
  readonly name: string;
  readonly reason: string;
}

/** Foods that are refused rather than guessed at. */
export const refusedFoods: readonly RefusedFood[] = [
  {
    id: 'egg-in-shell',
    name: 'Eggs in the shell',
    reason:
      'Shell, white and yolk are three materials of which two set as they heat, none of the lethality tables ' +
      'here speaks of them, and a cracked shell lets the water in. Follow a pasteurisation rule made for eggs.',
  },
  {
    id: 'stuffed-or-whole-bird',
    name: 'Stuffed or whole birds',
    reason:
      'A cavity or a stuffing is no solid body: its cold spot is neither where nor when this model has it. ' +
      'Take the bird apart.',
  },
  {
    id: 'frozen',
    name: 'Frozen or partly frozen food',
    reason:
      'Thawing takes up heat that this model does not have, and the core would be credited too early. Thaw it ' +
      'in the refrigerator to -1 C or more first.',
  },
  {
    id: 'garlic-or-herbs-in-oil',
    name: 'Raw garlic or herbs in oil',
    reason:
      'Sealed from air in oil they can grow Clostridium botulinum, and no cook below boiling kills its spores. ' +
      'Use them dried, or add them after the cook.',
  },
];

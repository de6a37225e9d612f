/** Spices and curing salt of a dish, between what was typed and the form. */
import { AROMATICS } from '../../../shared/cure/aromatics.ts';
import type { DishForm } from '../../../shared/wire/plan.ts';
import { parseNumber } from '../words/number.ts';
import type { DishDraft, SpiceStrength } from './draft.ts';

type CureForm = NonNullable<DishForm['cure']>;
type Extras = Pick<CureForm, 'aromatics' | 'nitrite'>;
type Typed = Pick<DishDraft, 'spices' | 'spiced' | 'nitrite' | 'curingSaltG' | 'nitritePercent'>;

/** Percent of the raw weight for a spice that strong; the middle of what is usual is left to the planner. */
function percentOf(id: string, spiced: SpiceStrength): number | undefined {
  const found = AROMATICS.find((one) => one.id === id);
  if (!found || spiced === 'usual') return undefined;
  return spiced === 'mild' ? found.lowPercent : found.highPercent;
}

/** What the form says of them; nothing where nobody asked. */
export function extrasForm(dish: Typed): Extras {
  const aromatics = dish.spices.map((id) => {
    const percent = percentOf(id, dish.spiced);
    return percent === undefined ? { id } : { id, percent };
  });
  const nitrite = {
    curingSaltG: parseNumber(dish.curingSaltG),
    nitriteFraction: parseNumber(dish.nitritePercent) / 100,
  };
  return { ...(aromatics.length > 0 ? { aromatics } : {}), ...(dish.nitrite ? { nitrite } : {}) };
}

/** What must still be said once nitrite was asked for. */
export function extrasMissing(dish: Typed): string[] {
  if (!dish.nitrite) return [];
  return [
    ...(dish.curingSaltG.trim() === '' ? ['the weight of the curing salt'] : []),
    ...(dish.nitritePercent.trim() === '' ? ['the nitrite in the curing salt'] : []),
  ];
}

/** A form's spices and curing salt as typed. */
export function extrasDraft({ aromatics = [], nitrite = null }: Extras): Typed {
  const first = aromatics[0];
  const spiced = (['mild', 'strong'] as const).find(
    (one) => first?.percent !== undefined && percentOf(first.id, one) === first.percent,
  );
  return {
    spices: aromatics.map(({ id }) => id),
    spiced: spiced ?? 'usual',
    nitrite: nitrite !== null,
    curingSaltG: nitrite ? String(nitrite.curingSaltG) : '',
    nitritePercent: nitrite ? String(Number((100 * nitrite.nitriteFraction).toFixed(3))) : '',
  };
}

/** Names of dishes as they are said: "lamb shoulder", not the line of a table of cuts. */
import { cutById } from '../food/cuts.ts';
import type { Dish } from './types.ts';

/** "Lamb shoulder, boned" is a lamb shoulder; "Beef, ground" is ground beef. */
function shortOf(name: string): string {
  const [first = name, ...rest] = name.split(', ');
  return rest.includes('ground') ? `Ground ${first.toLowerCase()}` : first;
}

/** Dishes under the first part of their cut's name, where nobody named them and no other dish is called so. */
export function withShortNames(dishes: readonly Dish[]): Dish[] {
  const said = dishes.map((dish) => (isNamed(dish) ? dish.name : shortOf(dish.name)));
  return dishes.map((dish, i) => {
    const name = said[i]!;
    const others = said.filter((one, j) => one === name && dishes[j]!.name !== dish.name);
    return others.length === 0 ? { ...dish, name } : dish;
  });
}

/** A name that a cook gave. */
const isNamed = ({ cutId, name }: Pick<Dish, 'cutId' | 'name'>) => {
  const cut = cutById(cutId)?.name;
  return cut !== name && (cut === undefined || shortOf(cut) !== name);
};

/** The name within a sentence: a cut's begins small, one that a cook gave stays as it is. */
export function inText(dish: Pick<Dish, 'cutId' | 'name'>): string {
  const { name } = dish;
  return isNamed(dish) ? name : name.charAt(0).toLowerCase() + name.slice(1);
}

/** Several names, each once, the first as at the beginning of a sentence: `Lamb shoulder, pork neck`. */
export function dishNames(dishes: readonly Pick<Dish, 'cutId' | 'name'>[]): string {
  const names = [...new Set(dishes.map((dish, i) => (i === 0 ? dish.name : inText(dish))))];
  return names.filter((name, i) => i === 0 || name.toLowerCase() !== names[0]!.toLowerCase()).join(', ');
}

/** A cut by its id or by words a cook would say. */
import { type Cut, cutById, cuts, refusedFoods } from '../food/cuts.ts';
import { PlanFault } from './fault.ts';

const wordsOf = (text: string) =>
  text
    .toLowerCase()
    .split(/[^a-z]+/)
    .filter((word) => word !== '');

const stem = (word: string) => (word.length > 3 && word.endsWith('s') ? word.slice(0, -1) : word);

/** How many of the words asked for a cut has, in id or name; and how many words of its own nobody asked for. */
function fit(cut: Cut, asked: readonly string[]): { hits: number; spare: number } {
  const own = new Set([...wordsOf(cut.id), ...wordsOf(cut.name)].map(stem));
  const hits = asked.filter((word) => own.has(stem(word))).length;
  return { hits, spare: own.size - hits };
}

/**
 * The cut meant by an id (`lamb-shoulder`) or by words ("lamb shoulder").
 * @throws PlanFault where it is refused, unknown (with what comes near), or a vegetable, for which no readiness is modelled
 */
export function findCut(text: string): Cut {
  const asked = wordsOf(text);
  const id = asked.join('-');
  const exact = cutById(id);
  const found = exact ?? bestFit(asked);
  const refused = refusedFoods.find(
    (food) => food.id === id || (!found && wordsOf(food.name).some((w) => asked.includes(w))),
  );
  if (refused) throw new PlanFault([`${refused.name}: ${refused.reason}`]);
  if (!found) {
    throw new PlanFault([`cut "${text}" is not known; ${nearest(asked)}.`]);
  }
  if (found.family === 'vegetable') {
    throw new PlanFault([
      `${found.name}: vegetables are judged by texture alone, and nothing here says when they are soft. Cook them by the fork at 84 C or hotter, outside this plan.`,
    ]);
  }
  return found;
}

/** A cut that has every word asked for, the one with the fewest others; none where two fit alike. */
function bestFit(asked: readonly string[]): Cut | null {
  if (asked.length === 0) return null;
  const whole = cuts
    .map((cut) => ({ cut, ...fit(cut, asked) }))
    .filter(({ hits }) => hits === asked.length)
    .sort((a, b) => a.spare - b.spare);
  const [first, second] = whole;
  if (!first || (second && second.spare === first.spare)) return null;
  return first.cut;
}

function nearest(asked: readonly string[]): string {
  const near = cuts
    .map((cut) => ({ cut, ...fit(cut, asked) }))
    .filter(({ hits }) => hits > 0)
    .sort((a, b) => b.hits - a.hits || a.spare - b.spare)
    .slice(0, 6)
    .map(({ cut }) => cut.id);
  if (near.length > 0) return `near it are ${near.join(', ')}`;
  return `expected an id such as ${cuts
    .slice(0, 3)
    .map((cut) => cut.id)
    .join(', ')}; there are ${cuts.length}`;
}

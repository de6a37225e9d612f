/** A job in one line as a cook would say it: "lamb shoulder, 2 kg, eight people, 19:30". */
import { parseQuantity } from '../units/quantity.ts';
import type { DishAsked } from './complete-dish.ts';
import { PlanFault } from './fault.ts';

/** What was understood of a line. */
export interface Request {
  readonly dishes: readonly DishAsked[];
  readonly serveBy: string | null;
  readonly peopleCount: number | null;
}

const NUMBERS = [
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
];

function numberOf(word: string): number | null {
  const spelt = NUMBERS.indexOf(word.toLowerCase());
  if (spelt >= 0) return spelt + 1;
  const value = Number(word);
  return Number.isInteger(value) && value > 0 ? value : null;
}

/**
 * Reads parts divided by commas, in any order: a cut, a weight, a thickness, people, pieces, a time. Several cuts make
 * several dishes; a weight or a thickness belongs to the cut before it.
 * @throws PlanFault naming each part that was not understood
 */
export function readRequest(text: string): Request {
  const dishes: { cut: string; massKg?: number; thicknessMm?: number; piecesCount?: number }[] = [];
  let serveBy: string | null = null;
  let peopleCount: number | null = null;
  const faults: string[] = [];
  for (const part of text.split(/[,;]/).map((p) => p.trim())) {
    if (part === '') continue;
    const dish = dishes.at(-1);
    const people = /^(\S+)\s+(people|persons|guests|eaters)$/i.exec(part) ?? /^for\s+(\S+)$/i.exec(part);
    const pieces = /^(\S+)\s+(pieces|piece|bags|bag)$/i.exec(part);
    const time = /^(?:at\s+|by\s+)?(\d{1,2}:\d{2}|\d{4}-\d{2}-\d{2}[T ]\d{1,2}:\d{2}\S*)$/i.exec(part);
    const mass = parseQuantity(part, 'mass');
    const length = parseQuantity(part.replace(/\s*thick$/i, ''), 'length');
    if (people) peopleCount = numberOf(people[1]!) ?? fault(faults, part, 'a number of people');
    else if (time) serveBy = time[1]!;
    else if (pieces && dish) {
      const count = numberOf(pieces[1]!) ?? fault(faults, part, 'a number of pieces');
      if (count !== null) dish.piecesCount = count;
    } else if (mass.ok && dish) dish.massKg = mass.value;
    else if (length.ok && dish) dish.thicknessMm = length.value;
    else if (/^[a-z][a-z -]*$/i.test(part)) dishes.push({ cut: part });
    else
      fault(
        faults,
        part,
        'a cut, a weight (2 kg), a thickness (70 mm), people (eight people) or a time (19:30)',
      );
  }
  if (dishes.length === 0 && faults.length === 0)
    faults.push('no cut was named; begin with one, such as lamb shoulder.');
  if (faults.length > 0) throw new PlanFault(faults);
  return { dishes, serveBy, peopleCount };
}

function fault(faults: string[], part: string, expected: string): null {
  faults.push(
    `"${part}" was not understood; expected ${expected}. Weight and thickness come after their cut.`,
  );
  return null;
}

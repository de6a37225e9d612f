import { standardById } from './index.ts';
import type { Standard } from './types.ts';

/** What the choice looks at; the fields a cut record carries. */
export interface FoodAsked {
  /** Wide kind: red-meat, poultry, game, fish, vegetable. */
  readonly family: string;
  /** Narrow kind: beef, lamb, chicken, duck, venison, rabbit ... */
  readonly species: string;
  /** Percent fat; null when unknown. */
  readonly fatPercent: number | null;
  /** Share of fat either way in 95 % of such pieces (0.03: 3 % more or less); 0 where absent. */
  readonly fatSpread?: number;
  /** Minced, formed, injected or mechanically tenderised: bacteria may sit inside. */
  readonly ground?: boolean;
}

/** The standard the food is judged by, why that one, and the others shown beside it. */
export interface ChosenStandards {
  readonly primary: Standard;
  readonly why: string;
  readonly others: readonly Standard[];
}

const is = (food: FoodAsked, ...names: readonly string[]): boolean =>
  names.includes(food.species.toLowerCase()) || names.includes(food.family.toLowerCase());

/**
 * Chooses the lethality standards for a food: the Salmonella standard of its kind (for fish the Listeria one
 * of the FDA guide), and what else applies. Where the kind is not known, the longest published times are taken.
 */
export function chooseStandard(food: FoodAsked): ChosenStandards {
  if (is(food, 'fish')) return fish(food);
  if (is(food, 'vegetable')) return vegetable();
  if (is(food, 'rabbit')) return rabbit(food);
  if (is(food, 'game')) return game(food);
  if (is(food, 'poultry')) return poultry(food);
  if (is(food, 'red-meat')) return redMeat(food);
  return unknown(food);
}

const pick = (...ids: string[]): readonly Standard[] => ids.map(standardById);

/** The fat of the worst case: fattier food needs the longer times. */
function fattest({ fatPercent, fatSpread = 0 }: FoodAsked): number | null {
  return fatPercent === null ? null : fatPercent + 100 * fatSpread;
}

/** The printed fat column for a percentage: the next column up, 12 % where fatter or unknown (FSIS-GD-2021-0014). */
export function fatColumn(fatPercent: number | null): number {
  if (fatPercent === null || !Number.isFinite(fatPercent)) return 12;
  return Math.min(12, Math.max(1, Math.ceil(fatPercent)));
}

function poultry(food: FoodAsked): ChosenStandards {
  const species = food.species.toLowerCase();
  const table = species === 'chicken' || species === 'turkey' ? species : 'other-poultry';
  const fat = fatColumn(fattest(food));
  const which =
    table === 'other-poultry' ? 'the longer of the chicken and turkey times' : `the ${table} times`;
  return {
    primary: standardById(`fsis-${table}-7-fat${fat}`),
    why: `Poultry: 7 log of Salmonella by ${which} at ${fat} % fat, the most that the piece may have.`,
    others: pick(
      'food-code-poultry',
      'listeria-chicken-thigh',
      'fda-fish-listeria-6',
      'ecoli-turkey',
      'perfringens-turkey',
      'fda-fish-botulinum-np-6',
    ),
  };
}

function redMeat(food: FoodAsked): ChosenStandards {
  const species = food.species.toLowerCase();
  const fatPercent = fattest(food);
  const fatty = fatPercent === null || fatPercent > 10;
  const beefStec = fatty ? 'ecoli-beef-25fat' : 'ecoli-beef-90lean';
  const stec =
    species === 'pork' ? 'ecoli-pork' : species === 'lamb' || species === 'mutton' ? 'ecoli-lamb' : beefStec;
  const ground = food.ground === true;
  return {
    primary: standardById(ground ? 'fsis-meat-7' : 'fsis-meat-6.5'),
    why: ground
      ? 'Ground, injected or tenderised red meat: 7 log of Salmonella, the stricter of the two FSIS columns.'
      : 'Whole-muscle red meat: 6.5 log of Salmonella by the FSIS table, the same rows as the Food Code roasts.',
    others: pick(
      ground ? 'food-code-comminuted' : 'food-code-roasts',
      stec,
      fatty ? 'listeria-beef-25fat' : 'listeria-beef-2fat',
      'fda-fish-listeria-6',
      'perfringens-beef',
      'fda-fish-botulinum-np-6',
    ),
  };
}

function game(food: FoodAsked): ChosenStandards {
  return {
    ...redMeat({ ...food, ground: true }),
    why: 'Game: 7 log of Salmonella by the FSIS meat table; the Food Code asks 74 C at once for wild game animals.',
    others: pick(
      'food-code-poultry',
      'ecoli-beef-25fat',
      'listeria-beef-25fat',
      'fda-fish-listeria-6',
      'perfringens-beef',
    ),
  };
}

function rabbit(food: FoodAsked): ChosenStandards {
  return {
    ...poultry({ ...food, species: 'other' }),
    why: 'Rabbit: FSIS publishes no table of its own; 7 log of Salmonella by the longer of the chicken and turkey times.',
  };
}

function fish(food: FoodAsked): ChosenStandards {
  return {
    primary: standardById('fda-fish-listeria-6'),
    why: 'Fish: 6 log of Listeria by the FDA fish hazards guide; it begins at 63 C and credits nothing below.',
    others: pick(
      food.ground === true ? 'food-code-comminuted' : 'food-code-intact',
      'fda-fish-botulinum-np-6',
    ),
  };
}

function vegetable(): ChosenStandards {
  return {
    primary: standardById('fda-fish-listeria-6'),
    why: 'Vegetables: no standard of their own; 6 log of Listeria by the FDA fish hazards guide, for what is kept after cooking.',
    others: pick('fda-fish-botulinum-np-6'),
  };
}

function unknown(food: FoodAsked): ChosenStandards {
  return {
    ...poultry({ ...food, species: 'other', fatPercent: null }),
    why: `Nothing is published here for "${food.species}" (${food.family}); the longest poultry times are taken, 7 log of Salmonella at 12 % fat.`,
  };
}

import { AROMATICS } from '../../../shared/cure/aromatics.ts';
import { AROMATIC_KEY } from '../../../shared/plan/cure-with.ts';
import type { Step } from '../../../shared/plan/types.ts';
import { type TemperatureUnit, temperatureText } from '../words/temperature.ts';
import { gramsText, litresText, type MassUnit, massText, thicknessText } from './measures.ts';

/** Units that a plan is shown in. */
export interface ShowIn {
  readonly unit: TemperatureUnit;
  readonly mass: MassUnit;
}

/** What to take of a step: the one figure to read from across the kitchen, and what goes with it. */
export interface AmountWords {
  readonly big: string | null;
  readonly rest: readonly string[];
}

type Reader = (name: string) => number | null;

const some = (parts: readonly (string | null | false)[]) =>
  parts.filter((part): part is string => typeof part === 'string');
const bags = (count: number | null) => (count === null ? null : count === 1 ? 'one bag' : `${count} bags`);

function cureWords(get: Reader, { unit, mass }: ShowIn): AmountWords {
  const salt = get('saltG') ?? 0;
  const meat = get('meatG') ?? 0;
  const sugar = get('sugarG') ?? 0;
  const fridgeH = get('fridgeH');
  const brings = get('curingSaltBringsG') ?? 0;
  const share = meat > 0 ? Number(((100 * (salt + brings)) / meat).toFixed(1)) : 0;
  return {
    big: `${gramsText(salt, mass)} of salt`,
    rest: some([
      `${share} % of ${massText(meat / 1000, mass)}${brings > 0 ? ', the curing salt counted' : ''}`,
      ...besideWords(get),
      sugar > 0 && `${gramsText(sugar, mass)} of sugar`,
      fridgeH !== null &&
        fridgeH > 0 &&
        `${fridgeH} h in the fridge at ${temperatureText(get('fridgeC'), unit, 0)}`,
    ]),
  };
}

/** Curing salt and spices by weight; in grams throughout, for they are weighed to a tenth. */
function besideWords(get: Reader): string[] {
  const curing = get('curingSaltG');
  return [
    ...(curing === null
      ? []
      : [`${curing.toFixed(1)} g of curing salt, ${get('nitritePpm')} ppm of nitrite`]),
    ...AROMATICS.flatMap(({ id, name }) => {
      const grams = get(`${AROMATIC_KEY}${id}G`);
      return grams === null ? [] : [`${grams.toFixed(1)} g of ${name}`];
    }),
  ];
}

function bagWords(get: Reader, { mass }: ShowIn): AmountWords {
  const ballast = get('ballastEachG') ?? 0;
  const seam = get('seamAboveFloorMm');
  const thick = get('thicknessMm');
  return {
    big: bags(get('bagsCount')),
    rest: some([
      ballast > 0 && `${gramsText(ballast, mass)} of steel in each`,
      seam !== null && `seam ${thicknessText(seam, mass)} above the floor of the box`,
      thick !== null && `planned ${thicknessText(thick, mass)} thick: measure it`,
    ]),
  };
}

const WORDS: Partial<Record<Step['kind'], (get: Reader, show: ShowIn) => AmountWords>> = {
  cure: cureWords,
  bag: bagWords,
  'bath-on': (get, { unit, mass }) => {
    const water = get('waterLitres');
    const heat = get('heatUpMin');
    return {
      big: temperatureText(get('setpointC'), unit, 0),
      rest: some([
        water !== null && `${litresText(water, mass)} of water at ${temperatureText(get('fillC'), unit, 0)}`,
        heat !== null && `about ${heat} min to heat`,
      ]),
    };
  },
  'food-in': (get, { unit }) => ({
    big: bags(get('bagsCount')),
    rest: [`into the hot bath, ${temperatureText(get('setpointC'), unit, 0)}`],
  }),
  'come-up': (get, { unit }) => ({
    big: null,
    rest: [
      `core over ${temperatureText(get('coreC'), unit)}`,
      `slowest case ${get('worstH')} h of the ${get('limitH')} h allowed`,
    ],
  }),
  'top-up': (get, { mass }) => ({
    big: `${litresText(get('waterLitres') ?? 0, mass)} of hot water`,
    rest: [],
  }),
  out: (get, { mass }) => {
    const juice = get('juiceG');
    const salt = get('juiceSaltPercent');
    if (juice === null) return { big: null, rest: [] };
    const salty = salt === null ? '' : `, ${salt} % salt`;
    return { big: null, rest: [`keep the juice: about ${gramsText(juice, mass)}${salty}`] };
  },
  rest: (get) => ({ big: `${get('restMin')} min`, rest: [] }),
  brown: (get) => ({ big: `${get('takesMin')} min`, rest: [] }),
  plate: (get) => ({ big: `${get('takesMin')} min`, rest: [] }),
  chill: (get, { mass }) => ({
    big: `${massText(get('iceKg') ?? 0, mass)} of ice`,
    rest: [
      `with ${litresText(get('waterLitres') ?? 0, mass)} of water, for ${massText(get('foodKg') ?? 0, mass)} of food`,
    ],
  }),
  chilled: (get, { unit }) => ({ big: null, rest: [`core at ${temperatureText(get('coreC'), unit)}`] }),
  store: (get, { unit }) => ({
    big: null,
    rest: [`${get('keptH')} h in the fridge at ${temperatureText(get('fridgeC'), unit, 0)}, measured`],
  }),
  reheat: (get, { unit }) => ({
    big: temperatureText(get('setpointC'), unit, 0),
    rest: [`about ${get('takesMin')} min`],
  }),
};

/** The amounts of a step in the units of this kitchen. */
export function amountWords(step: Step, show: ShowIn): AmountWords {
  const get: Reader = (name) => {
    const value = step.amounts[name];
    return typeof value === 'number' ? value : null;
  };
  const words = WORDS[step.kind]?.(get, show);
  return words ?? { big: null, rest: [] };
}

/** Bagging as steps, and what may have to be decided on the way. Data for the plan, the page and print. */
import type { BagAdvice } from './advice.ts';
import { STEEL_DENSITY, STONE_DENSITY } from './buoyancy.ts';

/** One thing to do, and why. */
export interface BagStep {
  readonly id: string;
  readonly title: string;
  readonly how: string;
  readonly why: string;
  readonly source: string;
  /** A question this step ends in; null where there is none. */
  readonly decisionId: 'leak' | 'afloat' | null;
}

/** A choice a person has to make. */
export interface BagDecision {
  readonly id: 'leak' | 'afloat';
  readonly question: string;
  readonly options: readonly {
    readonly when: string;
    readonly action: string;
    /** The food is not to be eaten. */
    readonly endsFood: boolean;
  }[];
  readonly source: string;
}

const PRACTICE = 'common practice, no source';

/** What must be decided about a bag, by a person at the bath. */
export const BAG_DECISIONS: readonly BagDecision[] = [
  {
    id: 'leak',
    question: 'Is there water in the bag, juice in the bath, or does the bag swell?',
    options: [
      {
        when: 'Seen at once, food cold, a few minutes in the water at most',
        action:
          'Take it out, dry the food with paper, put it into a new bag and begin again. Throw the old bag away.',
        endsFood: false,
      },
      {
        when: 'A hole above the water only, nothing got in or out',
        action: 'Lift the seam, put the whole bag into a second one, press the air out, go on.',
        endsFood: false,
      },
      {
        when: 'Bath water has reached the food later on',
        action:
          'Throw it away: nobody knows what came in or how cold it was. Change the bath water before anything else goes in, because raw juice has been in it.',
        endsFood: true,
      },
      {
        when: 'The bag swells more than warm air explains, or smells off when opened',
        action: 'Throw it away unopened or untasted. Gas while food is cooking is made by something alive.',
        endsFood: true,
      },
    ],
    source: PRACTICE,
  },
  {
    id: 'afloat',
    question: 'Does the bag float, or does a corner with food in it stand out of the water?',
    options: [
      {
        when: 'It can be weighed down',
        action:
          'Put steel on it or under a rack until everything with food in it is under. Time afloat is not counted as cooking.',
        endsFood: false,
      },
      {
        when: 'Too much air',
        action: 'Take it out, open, press the air out under water to the seam, close it and put it back.',
        endsFood: false,
      },
      {
        when: 'It was afloat and cold on top for hours',
        action: 'Judge it by the time in the danger zone that is shown; in doubt throw it away.',
        endsFood: true,
      },
    ],
    source: PRACTICE,
  },
];

const grams = (kg: number) => `${Math.ceil(kg * 20) * 50} g`;

/**
 * The steps of bagging one piece by letting water press the air out.
 * @param advice what this bag will do in the bath
 * @param seamAboveMm height of the seam over the floor that keeps it out of the water
 * @param foodUnderMm the lowest that the water is predicted to come to, over the floor
 */
export function bagSteps(advice: BagAdvice, seamAboveMm: number, foodUnderMm: number): BagStep[] {
  const { ceiling, growthRatio, ballastTakeKg, floatsFromMl } = advice;
  const film = ceiling.limitedBy;
  const stoneKg = (ballastTakeKg * (1 - 1000 / STEEL_DENSITY)) / (1 - 1000 / STONE_DENSITY);
  const ballast = `${grams(ballastTakeKg)} of stainless steel, or ${grams(stoneKg)} of glazed ware`;
  return [
    {
      id: 'cuff',
      title: 'Fold the rim back',
      how: 'Turn the top 5 cm of the bag outwards, put the food in, turn it up again and wipe the seam dry inside and out.',
      why: 'A seam with salt, fat or juice in it does not close.',
      source: PRACTICE,
      decisionId: null,
    },
    {
      id: 'ballast',
      title: `Weigh it down: ${ballast}`,
      how: 'Inside the bag under the food, wrapped so that no edge pierces the film, or on top in a rack.',
      why: `About ${Math.round(floatsFromMl)} mL of cold air would float this bag, and air becomes ${growthRatio.toFixed(1)} times as much on the way to the bath's temperature. A bag that floats is cold on top.`,
      source: 'Archimedes; ideal gas with saturated vapour',
      decisionId: null,
    },
    {
      id: 'press-out',
      title: 'Let the water press the air out',
      how: 'Close the seam to a finger wide. Lower the bag slowly into cold water with the open corner up until the water reaches just under the seam, stroke bubbles up from the food, close the last of the seam.',
      why: 'Water lays the film on the food everywhere; every air pocket keeps heat away and lifts.',
      source: PRACTICE,
      decisionId: null,
    },
    {
      id: 'double',
      title: ceiling.cares.length > 0 ? 'Put it into a second bag' : 'Check the bag',
      how:
        ceiling.cares.map((care) => care.care).join(' ') ||
        'Press it gently: no bubbles, no drops at the seam.',
      why: `${film.name}: no hotter than ${film.maxC} C for long.`,
      source: film.source,
      decisionId: 'leak',
    },
    {
      id: 'seam-up',
      title: `Clip the seam at least ${Math.round(seamAboveMm)} mm above the floor of the box`,
      how: `Over the rim of the box or on a line across it, clear of element and wall. Everything with food in it stays under ${Math.floor(foodUnderMm)} mm: so far the water may fall before it is topped up.`,
      why: 'So high that no water of the whole cook reaches it, with a margin for ripples and hands.',
      source: 'level with every bag in, see the room in the box',
      decisionId: 'afloat',
    },
  ];
}

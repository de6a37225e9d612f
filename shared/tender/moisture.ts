import type { TenderState } from './kinetics.ts';

/** Weight lost as juice, percent of the raw weight; a rough band. */
export interface MoistureLoss {
  readonly lowPercent: number;
  readonly middlePercent: number;
  readonly highPercent: number;
  readonly source: string;
}

/** Loss after six hours and more by temperature, [C, percent]: smoothed from pork shoulder pieces and literature; +-6 points. */
const PLATEAU: readonly (readonly [celsius: number, percent: number])[] = [
  [60, 29],
  [65, 31],
  [70, 33],
  [75, 34.5],
  [80, 36],
  [85, 37],
];
const SPREAD_POINTS = 6;
/** Time constant of the way to the plateau at 60 C, s, halving each 10 C hotter; from memory, so that about seven hours at 60 C are enough. */
const TIME_CONSTANT_S = 7200;

/**
 * Juice lost so far, by the hottest core and the time above 55 C: first order in time towards a level set by
 * temperature alone (Oillic et al. 2011, Meat Science 88:338). Null before 55 C is reached.
 */
export function moistureLoss(state: TenderState): MoistureLoss | null {
  if (state.maxC === null || state.hotS === 0) return null;
  const constantS = TIME_CONSTANT_S * 2 ** ((60 - state.maxC) / 10);
  const share = 1 - Math.exp(-state.hotS / constantS);
  const level = plateauPercent(state.maxC);
  return {
    lowPercent: Math.max(0, (level - SPREAD_POINTS) * share),
    middlePercent: level * share,
    highPercent: Math.min(60, level * share + SPREAD_POINTS),
    source:
      'smoothed from a pork shoulder experiment (secondary source) and literature, +-6 points; first order in time after Oillic et al. 2011',
  };
}

function plateauPercent(celsius: number): number {
  const next = PLATEAU.findIndex(([c]) => c >= celsius);
  if (next === 0) return PLATEAU[0]![1] + 0.4 * (celsius - PLATEAU[0]![0]);
  if (next === -1) return PLATEAU.at(-1)![1];
  const [aC, a] = PLATEAU[next - 1]!;
  const [bC, b] = PLATEAU[next]!;
  return a + ((b - a) * (celsius - aC)) / (bC - aC);
}

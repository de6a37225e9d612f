import type { UnseenStep } from '../../../shared/hazard/track-bridge.ts';
import { curveAt, reaches } from './cooling.ts';
import type { Curves } from './length.ts';
import type { OutageLength } from './state.ts';

/** What the water may have been while nobody watched, degC, `atS` after the heat went. */
export interface Bands {
  readonly cold: (atS: number) => number;
  readonly middle: (atS: number) => number;
  readonly warm: (atS: number) => number;
}

/** Still water lies in layers: below the mean by so much, and by this share of the fall. */
const LAYER_C = 0.4;
const LAYER_SHARE = 0.15;
/** No step is shorter; a long outage is cut into so many. */
const SHORTEST_STEP_S = 20;
const STEPS = 100;

/**
 * Bounds of the water from the curves and the temperature it came to. `pinnedS` is the length where clock and cooling
 * agree: then the fall is held at both ends. Null: the lid may have been off first and on for the rest.
 */
export function bandsOf(
  curves: Curves,
  beforeC: number,
  afterC: number,
  length: OutageLength,
  pinnedS: number | null,
): Bands {
  const slowEnd = reaches(curves.slow, afterC);
  const middleEnd = reaches(curves.middle, afterC);
  const layer = (celsius: number) => LAYER_C + LAYER_SHARE * Math.max(0, beforeC - celsius);
  return {
    cold(atS) {
      const quick = Math.max(afterC, curveAt(curves.lidOff, atS));
      // Seen from the end: with no more than the least loss left to come it was at least this warm.
      const back =
        pinnedS !== null && slowEnd !== null
          ? curveAt(curves.slow, slowEnd - Math.max(0, pinnedS - atS))
          : -99;
      const celsius = Math.max(quick, Math.min(back, curves.quick[0]!));
      return celsius - layer(celsius);
    },
    middle(atS) {
      if (middleEnd === null || length.countsS <= 0)
        return beforeC + (afterC - beforeC) * Math.min(1, atS / Math.max(1, length.countsS));
      return Math.max(afterC, curveAt(curves.middle, (atS * middleEnd) / length.countsS));
    },
    warm: (atS) => Math.max(afterC, curveAt(curves.slow, atS)) + LAYER_C,
  };
}

/** Nothing is known but the ends, and that the water stayed between the coldest and the warmest that could be. */
export function blindBands(
  beforeC: number,
  afterC: number,
  coldC: number,
  warmC: number,
  countsS: number,
): Bands {
  const cold = Math.min(beforeC, afterC, coldC) - LAYER_C;
  const warm = Math.max(beforeC, afterC, warmC) + LAYER_C;
  return {
    cold: () => cold,
    middle: (atS) => beforeC + (afterC - beforeC) * Math.min(1, atS / Math.max(1, countsS)),
    warm: () => warm,
  };
}

/** The bands in steps of time up to `untilS`. */
export function stepsOf(bands: Bands, untilS: number): UnseenStep[] {
  const count = Math.max(1, Math.min(STEPS, Math.ceil(untilS / SHORTEST_STEP_S)));
  const seconds = untilS / count;
  return Array.from({ length: untilS > 0 ? count : 0 }, (_, i) => {
    const span = (band: (atS: number) => number) => [band(i * seconds), band((i + 1) * seconds)] as const;
    return { seconds, cold: span(bands.cold), middle: span(bands.middle), warm: span(bands.warm) };
  });
}

/** For how long a band lay below a temperature within `withinS`, s. */
export function belowS(band: (atS: number) => number, celsius: number, withinS: number): number {
  const count = 240;
  let below = 0;
  for (let i = 0; i < count; i++) if (band(((i + 0.5) * withinS) / count) < celsius) below += withinS / count;
  return below;
}

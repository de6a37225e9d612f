import { type CoreWatch, type HandBound, NO_WATCH } from '../../../shared/hazard/core-watch.ts';
import type { PathPoint } from '../../../shared/tender/forecast.ts';
import type { Lies } from '../../../shared/wire/command.ts';
import { advanceWatched, type BagEstimate, metAtS, type Surroundings } from './bag.ts';

/** What readings from the piece hold its credit to, now and for as long as nobody reads it anew. */
export interface HeldAhead {
  readonly watch: CoreWatch;
  readonly byHand: HandBound | null;
  /** The clock of the watch now, s. */
  readonly clockS: number;
}

/** Which reading holds the credit under the model. */
export type HeldBy = 'probe' | 'hand';

/** What will become of a bag in the bath as it will be. Seconds from now. */
export interface Ahead {
  /** When the standard the food is judged by will be met on the slowest case; null where it is met, or not within a day. */
  readonly metInS: number | null;
  /** A reading that the forecast goes by, for it showed the piece slower than the model; null where none did. */
  readonly heldBy: HeldBy | null;
  /** The middle core from now on. */
  readonly path: readonly PathPoint[];
}

const STEP_S = 300;
const HORIZON_S = 24 * 3600;
/** The core follows the water this closely: from here on the path is flat. */
const ARRIVED_C = 0.05;

/** No reading holds anything. */
const NOT_HELD: HeldAhead = { watch: NO_WATCH, byHand: null, clockS: 0 };

/**
 * Carries a copy of the bag forward in a bath of `waterC` (degC by seconds from now), its credit held to what readings
 * from the piece showed. Milliseconds of work: for the page and for rare rows of the record.
 */
export function lookAhead(
  estimate: BagEstimate,
  waterC: (seconds: number) => number,
  circulation: Surroundings['circulation'],
  lies: Lies,
  nowS: number,
  held: HeldAhead = NOT_HELD,
): Ahead {
  const path: PathPoint[] = [{ seconds: 0, celsius: estimate.core.middleC }];
  const met = metAtS(estimate) !== null;
  let ahead = estimate;
  let { watch } = held;
  const endC = waterC(HORIZON_S);
  let metInS: number | null = null;
  for (let at = STEP_S; at <= HORIZON_S; at += STEP_S) {
    const [fromC, toC] = [waterC(at - STEP_S), waterC(at)];
    const stretch = { fromC, toC, seconds: STEP_S, atS: nowS + at, gap: false };
    const seen = { ...NOBODY_READS, byHand: held.byHand, clockS: held.clockS + at };
    ({ estimate: ahead, watch } = advanceWatched(ahead, watch, stretch, circulation, lies, seen));
    const arrived = toC === endC && Math.abs(ahead.core.middleC - endC) < ARRIVED_C;
    if (!arrived || Math.abs(path.at(-1)!.celsius - endC) >= ARRIVED_C) {
      path.push({ seconds: at, celsius: ahead.core.middleC });
    }
    const due = metAtS(ahead);
    if (!met && due !== null && metInS === null) metInS = Math.max(0, due - nowS);
    if (arrived && (met || metInS !== null)) break;
  }
  return { metInS, heldBy: heldBy(held), path };
}

const NOBODY_READS = { celsius: undefined, coldSpot: null, coldestC: Number.NaN, wallMs: 0 };

function heldBy({ watch: { hold }, byHand }: HeldAhead): HeldBy | null {
  if (byHand !== null && (byHand.lowerK > 0 || byHand.capC !== null)) return 'hand';
  return hold === null ? null : 'probe';
}

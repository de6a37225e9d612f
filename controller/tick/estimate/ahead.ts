import type { PathPoint } from '../../../shared/tender/forecast.ts';
import type { Lies } from '../../../shared/wire/command.ts';
import { advance, type BagEstimate, metAtS, type Surroundings } from './bag.ts';

/** What will become of a bag in the bath as it will be. Seconds from now. */
export interface Ahead {
  /** When the standard the food is judged by will be met on the slowest case; null where it is met, or not within a day. */
  readonly metInS: number | null;
  /** The middle core from now on. */
  readonly path: readonly PathPoint[];
}

const STEP_S = 300;
const HORIZON_S = 24 * 3600;
/** The core follows the water this closely: from here on the path is flat. */
const ARRIVED_C = 0.05;

/** Carries a copy of the bag forward in a bath of `waterC` (degC by seconds from now). Milliseconds of work: for the page, not for the tick. */
export function lookAhead(
  estimate: BagEstimate,
  waterC: (seconds: number) => number,
  circulation: Surroundings['circulation'],
  lies: Lies,
  nowS: number,
): Ahead {
  const path: PathPoint[] = [{ seconds: 0, celsius: estimate.core.middleC }];
  const met = metAtS(estimate) !== null;
  let ahead = estimate;
  const endC = waterC(HORIZON_S);
  let metInS: number | null = null;
  for (let at = STEP_S; at <= HORIZON_S; at += STEP_S) {
    const [fromC, toC] = [waterC(at - STEP_S), waterC(at)];
    const stretch = { fromC, toC, seconds: STEP_S, atS: nowS + at, gap: false };
    ahead = advance(ahead, stretch, circulation, lies);
    const arrived = toC === endC && Math.abs(ahead.core.middleC - endC) < ARRIVED_C;
    if (!arrived || Math.abs(path.at(-1)!.celsius - endC) >= ARRIVED_C) {
      path.push({ seconds: at, celsius: ahead.core.middleC });
    }
    const due = metAtS(ahead);
    if (!met && due !== null && metInS === null) metInS = Math.max(0, due - nowS);
    if (arrived && (met || metInS !== null)) break;
  }
  return { metInS, path };
}

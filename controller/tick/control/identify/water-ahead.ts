import { lossShape } from './loss.ts';
import { lossRate } from './observe.ts';
import { RATE, type RigState } from './rig.ts';

/** The heat balance is carried on in steps of so many seconds. */
const STEP_S = 60;
/** A way to the setpoint is followed for a day at most, s. */
const LONGEST_S = 24 * 3600;

/**
 * Where the water will be: from `fromC` at full heat up to the setpoint, or by its own loss down to it, then there. What the
 * rig is like counts as identified so far, or as described; heat taken by food is left out. Gives degC by seconds from now.
 * Where full heat does not carry it to the setpoint, it stays where heat and loss are even.
 */
export function waterAhead(
  rig: RigState,
  fromC: number,
  setpointC: number,
  roomC: number,
): (seconds: number) => number {
  const up = fromC < setpointC;
  const rate = rig.belief.mean[RATE]!;
  const points = [fromC];
  let waterC = fromC;
  for (let at = 0; at < LONGEST_S && waterC !== setpointC; at += STEP_S) {
    const loss = lossRate(rig.belief, lossShape(waterC, roomC));
    const moved = waterC + ((up ? rate : 0) - loss) * STEP_S;
    // Even, or a bath without loss: no nearer.
    if (up ? moved <= waterC : moved >= waterC) break;
    waterC = up ? Math.min(setpointC, moved) : Math.max(setpointC, moved);
    points.push(waterC);
  }
  return (seconds) => {
    const at = Math.max(0, seconds) / STEP_S;
    const before = points[Math.floor(at)];
    const after = points[Math.floor(at) + 1];
    if (before === undefined || after === undefined) return points.at(-1)!;
    return before + (at - Math.floor(at)) * (after - before);
  };
}

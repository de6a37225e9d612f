import { type HeatPath, restingPath, stepPath } from '../../control/identify/path.ts';
import { DELAY, NARROW, type RigState } from '../../control/identify/rig.ts';

/**
 * Heat that would be on its way had the regulating switch not opened: the time for which only the guard was closed, seen
 * through the same delay as real heat. Seconds of full heat, plain data.
 */
export interface Standby {
  readonly path: HeatPath;
  /** Arrived in this beat so far, and in the beat before. */
  readonly arrivedS: number;
  readonly lastArrivedS: number;
}

export const NO_STANDBY: Standby = { path: restingPath(50), arrivedS: 0, lastArrivedS: 0 };

/** One tick: `share` of it the guard alone was closed. */
export function stepStandby(standby: Standby, rig: RigState, share: number, dtS: number): Standby {
  const { path } = standby;
  const resting = path.broad < 1e-9 && path.narrow[0] < 1e-9 && path.narrow[3] < 1e-9;
  if (resting && share === 0) return standby;
  const timed = resting ? restingPath(rig.belief.mean[DELAY]!) : path;
  const next = stepPath(timed, share, dtS);
  const arriving = next.broad + rig.belief.mean[NARROW]! * (next.narrow[3] - next.broad);
  return { ...standby, path: next, arrivedS: standby.arrivedS + arriving * dtS };
}

/** The beat is over: what arrived between its middle and the middle of the one before, s. */
export function closeStandby(standby: Standby): { standby: Standby; betweenS: number } {
  const { arrivedS, lastArrivedS, path } = standby;
  if (arrivedS === 0 && lastArrivedS === 0) return { standby, betweenS: 0 };
  return {
    standby: { path, arrivedS: 0, lastArrivedS: arrivedS },
    betweenS: (arrivedS + lastArrivedS) / 2,
  };
}

import { restingPath } from '../control/identify/path.ts';
import { EMPTY_BEAT, type RigState } from '../control/identify/rig.ts';

/** After a restart no heat is on its way, and what the water did before makes no pair with what it does now. */
export function restedRig(rig: RigState): RigState {
  const noise = { ...rig.noise, oneAgoC: null, twoAgoC: null };
  return {
    ...rig,
    path: restingPath(rig.path.meanS),
    beat: { number: -1, ...EMPTY_BEAT },
    last: null,
    calmBeats: 0,
    noise,
  };
}

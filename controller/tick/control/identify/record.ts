import type { Pair } from '../../supervise/watch/pair.ts';
import type { Belief } from './kalman.ts';
import { restingPath } from './path.ts';
import { DELAY, type Described, describedRig, RATE, type RigState, WANDER, WANDER_SD } from './rig.ts';

/** What is worth keeping of an identified rig between logs: plain data, small. */
export interface RigRecord {
  readonly layout: number;
  /** The description it was identified under: another one makes it another rig. */
  readonly described: Described;
  /** Wall clock of the last minute that taught something, ms. */
  readonly identifiedAtMs: number;
  readonly belief: Belief;
  readonly lid: RigState['lid'];
  readonly firstRate: number | null;
  /** How the two probes differ when all is well. */
  readonly pair: { readonly belief: Belief; readonly learned: number };
}

/** Changes with the meaning of the belief's quantities. */
export const RIG_LAYOUT = 1;

/** The record of a rig; null while it is not identified. */
export function rigRecord(rig: RigState, pair: Pair, described: Described): RigRecord | null {
  if (rig.identifiedAtMs === null) return null;
  const { litres, elementWatts } = described;
  return {
    layout: RIG_LAYOUT,
    described: { litres, elementWatts },
    identifiedAtMs: rig.identifiedAtMs,
    belief: rig.belief,
    lid: rig.lid,
    firstRate: rig.firstRate,
    pair: { belief: pair.belief, learned: pair.learned },
  };
}

/** Whether two descriptions are of one rig. */
export function sameRig(one: Described, other: Described): boolean {
  return one.litres === other.litres && one.elementWatts === other.elementWatts;
}

/** Whether a record is of this rig as it is described now, and of this layout. */
export function isRecordOf(record: RigRecord, described: Described): boolean {
  return record.layout === RIG_LAYOUT && sameRig(record.described, described);
}

/** The rig as recorded, or as described where there is no record of it. Water and supply are not remembered. */
export function recalledRig(described: Described, record: RigRecord | null): RigState {
  const fresh = describedRig(described);
  if (record === null || !isRecordOf(record, described)) return fresh;
  const { lid, firstRate, identifiedAtMs } = record;
  const belief = refilled(record.belief);
  const path = restingPath(belief.mean[DELAY]!);
  return { ...fresh, belief, path, lid, firstRate, identifiedAtMs, taughtC: TAUGHT_C };
}

/** A rig on record has been taught enough to be held to its figures, degC of heat. */
const TAUGHT_C = 20;
/** By the mark a box is filled to some per cent: standard deviation of the rate after a new fill, as a share. */
const FILL_SD = 0.04;

/** The belief of a box that was emptied and filled: the supply's wander is forgotten, the rate somewhat wider. */
function refilled({ mean, cov }: Belief): Belief {
  const n = mean.length;
  const widened = cov.slice();
  for (let j = 0; j < n; j++) {
    widened[j * n + WANDER] = 0;
    widened[WANDER * n + j] = 0;
  }
  widened[WANDER * n + WANDER] = WANDER_SD ** 2;
  widened[RATE * n + RATE] = cov[RATE * n + RATE]! + (FILL_SD * mean[RATE]!) ** 2;
  return { mean: mean.map((value, j) => (j === WANDER ? 0 : value)), cov: widened };
}

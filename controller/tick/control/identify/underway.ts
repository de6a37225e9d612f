import { DELAY, NARROW, RATE, type RigState } from './rig.ts';

/** Rise that heat on its way through element and plume would still make in the reading, degC. */
export function underwayC({ belief, path }: RigState): number {
  const [a, b, c, d] = path.narrow;
  const delay = belief.mean[DELAY]!;
  const share = Math.min(1, Math.max(0, belief.mean[NARROW]!));
  const narrowS = (delay / 4) * (a + b + c + d);
  return belief.mean[RATE]! * (share * narrowS + (1 - share) * delay * path.broad);
}

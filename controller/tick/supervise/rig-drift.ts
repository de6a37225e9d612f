import { type Finding, quiet } from '../alarm/step.ts';
import { RATE } from '../control/identify/rig.ts';
import type { Context } from './context.ts';

/** A change of this share since the rig was first identified, and so many standard deviations of it. */
const SHARE = 0.12;
const SURE = 4;

/** The water warms faster or slower at full heat than it used to: less water, a weaker element, scale. */
export function checkRigDrift({ state }: Context): Finding {
  const { rig } = state;
  if (rig.firstRate === null) return quiet('rig-drift');
  const n = rig.belief.mean.length;
  const rate = rig.belief.mean[RATE]!;
  const moved = rate / rig.firstRate - 1;
  const sd = Math.sqrt(rig.belief.cov[RATE * n + RATE]!) / rig.firstRate;
  if (Math.abs(moved) < Math.max(SHARE, SURE * sd)) return quiet('rig-drift');
  const why =
    moved > 0 ? 'There is less water than at the fill.' : 'The element gives less, or there is more water.';
  return {
    alarmId: 'rig-drift',
    active: true,
    heatOff: false,
    detail: `Saw full heat warm the water by ${(rate * 60).toFixed(2)} °C a minute; expected ${(rig.firstRate * 60).toFixed(2)} °C, as when the rig was identified. ${why}`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const LOST_SHARE = 0.15;

/** A probe that answers only now and then gives heat only now and then, and is about to fail. */
export function checkProbeFailing({ state }: Context): Finding {
  const { lostShare } = state.watch.reading;
  if (lostShare < LOST_SHARE) return quiet('probe-failing');
  return {
    alarmId: 'probe-failing',
    active: true,
    heatOff: false,
    detail: `Saw ${Math.round(100 * lostShare)} % of the readings of the last minute fail; expected none.`,
  };
}

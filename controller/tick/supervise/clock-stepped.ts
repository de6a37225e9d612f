import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const TOLD_S = 60;

/** The wall clock was set while a cook ran: times on the record before and after do not fit together. */
export function checkClockStepped({ state }: Context): Finding {
  const { steppedS, steppedAgoS } = state.watch.clocks;
  if (steppedAgoS > TOLD_S) return quiet('clock-stepped');
  return {
    alarmId: 'clock-stepped',
    active: true,
    heatOff: false,
    detail: `Saw the wall clock jump by ${steppedS.toFixed(0)} s; expected it to go with the monotonic clock within 2 s.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { LATE_S } from './watch/clocks.ts';

/** So late, or so often late within two minutes, the controller is overrun. */
const VERY_LATE_S = 5;
const OFTEN = 4;

/** A controller that is late lets its leases end: the bath cools, and nobody watches meanwhile. */
export function checkTickLate({ state }: Context): Finding {
  const { lateS, lateTicks } = state.watch.clocks;
  if (lateS < VERY_LATE_S && lateTicks < OFTEN) return quiet('tick-late');
  return {
    alarmId: 'tick-late',
    active: true,
    heatOff: false,
    detail: `Saw ticks up to ${Math.max(lateS, LATE_S).toFixed(1)} s after the last, ${Math.max(1, Math.round(lateTicks))} of them of late; expected one every second.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** A question that waits for an answer is announced like an alarm. */
export function checkLoad({ state }: Context): Finding {
  if (state.load.dipAtS === null) return quiet('load-unexplained');
  return {
    alarmId: 'load-unexplained',
    active: true,
    heatOff: false,
    detail: `The water gives up about ${Math.round(state.load.excessW)} W more than the usual loss; expected a bag to be entered.`,
  };
}

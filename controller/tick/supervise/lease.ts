import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const AFTER_S = 4;

/** A lease was given and the board reports the switch open. */
export function checkLease({ state }: Context): Finding {
  const { unhonouredS } = state.watch.switches;
  if (unhonouredS < AFTER_S) return quiet('lease-not-honoured');
  return {
    alarmId: 'lease-not-honoured',
    active: true,
    heatOff: false,
    detail: `Saw the regulating switch open for ${Math.round(unhonouredS)} s while heat was leased; expected it closed within a second.`,
  };
}

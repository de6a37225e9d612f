import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** A lease ends within 2 s; a switch still closed after this is not obeying, s. */
const AFTER_S = 3;

/** The board itself reports a switch closed that was told to open. */
export function checkSwitchWelded({ state }: Context): Finding {
  const { stuckS, stuckBothS } = state.watch.switches;
  if (stuckS < AFTER_S) return quiet('switch-welded');
  const both = stuckBothS >= AFTER_S;
  return {
    alarmId: 'switch-welded',
    active: true,
    heatOff: true,
    detail: `Saw the regulating switch closed ${Math.round(stuckS)} s after its lease ended; expected it open within 2 s.${both ? ' The guard is closed too. Pull the plug now.' : ''}`,
  };
}

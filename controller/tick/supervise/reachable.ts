import { type Finding, quiet } from '../alarm/step.ts';
import { nobodyReachable } from './calls.ts';
import type { Context } from './context.ts';

/** Where people are to be called and none of their ways works, only the page and the sounder are left. */
export function checkReachable({ state }: Context): Finding {
  if (!nobodyReachable(state)) return quiet('nobody-reachable');
  const { ways } = state.calls;
  return {
    alarmId: 'nobody-reachable',
    active: true,
    heatOff: false,
    detail: `Saw ${ways} of ${ways} ways to people failing; expected one that works.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import { presenceLeftS } from './attendance.ts';
import type { Context } from './context.ts';

/** Nobody answered: heat stops until somebody is there. */
export function checkPresenceLapsed({ state }: Context): Finding {
  const left = presenceLeftS(state);
  if (left === null || left > 0) return quiet('presence-lapsed');
  const interval = state.settings.presenceS ?? 0;
  return {
    alarmId: 'presence-lapsed',
    active: true,
    heatOff: true,
    detail: `Saw no sign of a person for ${Math.round((interval - left) / 60)} min; expected one every ${Math.round(interval / 60)} min, because this cook may not be left alone.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import { presenceLeftS } from './attendance.ts';
import type { Context } from './context.ts';

/** Asked this long before the heat stops, s; with a short interval a fifth of it. */
const WARN_S = 300;

/** In an attended cook somebody must say now and then that they are there. */
export function checkPresenceDue({ state }: Context): Finding {
  const left = presenceLeftS(state);
  const interval = state.settings.presenceS ?? 0;
  if (left === null || left <= 0 || left > Math.min(WARN_S, interval / 5)) return quiet('presence-due');
  return {
    alarmId: 'presence-due',
    active: true,
    heatOff: false,
    detail: `Saw no sign of a person for ${Math.round((interval - left) / 60)} min; expected one every ${Math.round(interval / 60)} min. Heat stops in ${Math.ceil(left / 60)} min.`,
  };
}

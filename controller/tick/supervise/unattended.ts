import { type Finding, quiet } from '../alarm/step.ts';
import { attendanceLacks } from './attendance.ts';
import type { Context } from './context.ts';

/** A cook that was left alone has lost something that leaving it alone needs: from now on somebody must be there. */
export function checkUnattended({ state }: Context): Finding {
  if (!state.attendance.unattended || !state.cook || state.cook.endedAtMs !== null)
    return quiet('unattended-lacks');
  const lacks = attendanceLacks(state);
  if (lacks.length === 0) return quiet('unattended-lacks');
  return {
    alarmId: 'unattended-lacks',
    active: true,
    heatOff: false,
    detail: `Saw: ${lacks.map((lack) => lack.text).join(' ')} Expected all that an unattended cook needs.`,
  };
}

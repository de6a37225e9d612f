import { durationText } from '../../../shared/units/duration.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** A restart during a cook is told, with how long the controller was away. */
export function checkRestarted({ input, state }: Context): Finding {
  if (!input.restart || !state.cook || state.cook.endedAtMs !== null) return quiet('controller-restarted');
  const { awayMs } = input.restart;
  const away =
    awayMs === null ? 'for a time that the clock cannot tell' : `for ${durationText(awayMs / 1000)}`;
  return {
    alarmId: 'controller-restarted',
    active: true,
    heatOff: false,
    detail: `The controller was away ${away}; expected a tick every second.`,
  };
}

import { byDesign, type Finding, quiet, unknown } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** The alarm band above the setpoint, in kelvin. */
export const HIGH_C = 1.5;

/** Above the setpoint by more than control could cause. */
export function checkHigh({ sense, state }: Context): Finding {
  const { cook } = state;
  if (!cook || cook.stage === 'taken-out') return quiet('bath-high');
  if (sense.celsius === null) return unknown('bath-high');
  if (sense.celsius < cook.setpointC + HIGH_C) return quiet('bath-high');
  if (!cook.reached) return byDesign('bath-high', 'The bath is still cooling down to the setpoint.');
  return {
    alarmId: 'bath-high',
    active: true,
    heatOff: true,
    detail: `Saw ${sense.celsius.toFixed(1)} °C; expected within ${HIGH_C.toFixed(1)} K of ${cook.setpointC.toFixed(1)} °C.`,
  };
}

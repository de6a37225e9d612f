import { byDesign, type Finding, quiet, unknown } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** The alarm band below the setpoint, in kelvin. */
export const LOW_C = 1.5;

/** After the setpoint was reached once, the water stays near it. A bath still heating up is below by design. */
export function checkLow({ sense, state }: Context): Finding {
  const { cook } = state;
  if (!cook || cook.stage === 'taken-out') return quiet('bath-low');
  if (sense.celsius === null) return unknown('bath-low');
  if (sense.celsius > cook.setpointC - LOW_C) return quiet('bath-low');
  if (!cook.reached) return byDesign('bath-low', 'The bath is still on its way up to the setpoint.');
  return {
    alarmId: 'bath-low',
    active: true,
    heatOff: false,
    detail: `Saw ${sense.celsius.toFixed(1)} °C; expected within ${LOW_C.toFixed(1)} K of ${cook.setpointC.toFixed(1)} °C.`,
  };
}

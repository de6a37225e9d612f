import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** Control alone never takes the water so far over a setpoint it has reached. */
const OVER_C = 4;

/** Far over the setpoint something heats that should not, whatever else is known: both switches open. */
export function checkOverSetpoint({ sense, state }: Context): Finding {
  const { cook } = state;
  if (!cook?.reached || sense.celsius === null || sense.celsius < cook.setpointC + OVER_C)
    return quiet('over-setpoint');
  // From there on the hard maximum speaks.
  if (sense.celsius >= state.settings.hardMaxC) return quiet('over-setpoint');
  return {
    alarmId: 'over-setpoint',
    active: true,
    heatOff: true,
    detail: `Saw ${sense.celsius.toFixed(1)} °C; expected at most ${(cook.setpointC + OVER_C).toFixed(1)} °C, that is ${OVER_C} °C over the setpoint.`,
  };
}

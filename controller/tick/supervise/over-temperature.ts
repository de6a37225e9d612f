import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** At the hard maximum the heat trips, and stays off until a person clears the latched alarm. */
export function checkOverTemperature({ sense, state }: Context): Finding {
  const limit = state.settings.hardMaxC;
  const active = sense.celsius !== null && sense.celsius >= limit;
  if (!active) return quiet('over-temperature');
  const detail = `Saw ${sense.celsius?.toFixed(2)} °C; expected less than ${limit.toFixed(1)} °C.`;
  return { alarmId: 'over-temperature', active, heatOff: true, detail };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** So much of the way from the water to the room is further than any load takes it. */
const SHARE = 0.5;
const LEAST_C = 6;

/** A reading that falls most of the way to the room within minutes is a probe in the air. */
export function checkProbeOut({ sense, state }: Context): Finding {
  const { fall, roomC } = state.watch;
  const limit = Math.max(LEAST_C, SHARE * (fall.fromC - roomC));
  const back = sense.celsius !== null && sense.celsius > fall.fromC - 0.4 * fall.fellC;
  if (fall.fellC < limit || back) return quiet('probe-out-of-water');
  return {
    alarmId: 'probe-out-of-water',
    active: true,
    heatOff: true,
    detail: `Saw the reading fall from ${fall.fromC.toFixed(1)} °C by ${fall.fellC.toFixed(1)} °C towards the room (${roomC.toFixed(0)} °C); expected the water to keep its heat, and a load to take at most ${limit.toFixed(1)} °C.`,
  };
}

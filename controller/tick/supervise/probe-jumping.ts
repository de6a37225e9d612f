import { numberText } from '../../../shared/units/temperature.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { LEAP_C } from './watch/reading.ts';

/** So many leaps to and fro within half a minute are not water. */
const SWINGS = 4;

/** Water has far too much heat in it to go up and down by more than a degree in a second. */
export function checkProbeJumping({ state }: Context): Finding {
  const { reading } = state.watch;
  if (reading.swings < SWINGS) return quiet('probe-jumping');
  return {
    alarmId: 'probe-jumping',
    active: true,
    heatOff: true,
    detail: `Saw the reading leap to and fro ${Math.round(reading.swings)} times within half a minute, last by ${numberText(reading.leapC)} °C in a second; expected less than ${LEAP_C} °C.`,
  };
}

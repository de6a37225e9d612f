import { numberText } from '../../../shared/units/temperature.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { APART_C } from './watch/pair.ts';

const BEATS = 4;

/** Water that stands parts into warm and cold: the bath's probe then reads higher, against the second, than it used to. */
export function checkCirculation({ state }: Context): Finding {
  const { pair } = state.watch;
  if (pair.offC === null || pair.lowBeats < BEATS) return quiet('circulation-stopped');
  return {
    alarmId: 'circulation-stopped',
    active: true,
    heatOff: false,
    detail: `Saw the bath probe ${numberText(-pair.offC)} °C higher against the second probe than with the water moving; expected at most ${APART_C} °C.`,
  };
}

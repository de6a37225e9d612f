import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** No heat into a bath whose level switch says that it is low; it comes back with the water. */
export function checkWaterLow({ input, state }: Context): Finding {
  const { board } = input;
  if (board.link === 'down' || board.levelOk !== false) return quiet('water-low');
  const seconds = Math.round(state.watch.switches.dryS);
  return {
    alarmId: 'water-low',
    active: state.cook !== null && state.cook.endedAtMs === null,
    heatOff: true,
    reason: 'The level switch reports low water.',
    detail: `Saw the level switch open for ${seconds} s; expected it closed by the water while heat is asked for.`,
  };
}

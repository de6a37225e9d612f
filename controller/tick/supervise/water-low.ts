import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const AFTER_S = 2;

/** The level switch reports no water: heat off before the element shows. */
export function checkWaterLow({ state }: Context): Finding {
  const { dryS } = state.watch.switches;
  if (!state.settings.equipment.levelSwitch || dryS <= 0) return quiet('water-low');
  return {
    alarmId: 'water-low',
    active: dryS >= AFTER_S,
    heatOff: true,
    reason: 'The level switch reports low water.',
    detail: `Saw the level switch open for ${Math.round(dryS)} s; expected water above it.`,
  };
}

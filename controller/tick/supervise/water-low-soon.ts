import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** Warned this long before the element could show at the earliest, s: twice what a cook needs to boil a kettle. */
const AHEAD_S = 1800;

/** Water may have gone as far as the element, going by the heat that it takes to evaporate it. */
export function checkWaterLowSoon({ state }: Context): Finding {
  const { water } = state.watch;
  const { spareLitres } = state.settings;
  if (!state.cook || state.cook.endedAtMs !== null) return quiet('water-low-soon');
  const leftKg = spareLitres - water.goneMostKg;
  if (leftKg > water.mostKgPerS * AHEAD_S) return quiet('water-low-soon');
  const minutes = water.mostKgPerS > 0 ? Math.max(0, leftKg / water.mostKgPerS / 60) : 0;
  return {
    alarmId: 'water-low-soon',
    active: true,
    heatOff: false,
    detail: `Reckoned that ${water.goneKg.toFixed(1)} L, at most ${water.goneMostKg.toFixed(1)} L, have evaporated since the last fill; expected less than the ${spareLitres.toFixed(1)} L over the element. It could show in ${minutes.toFixed(0)} min at the earliest.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const SILENT_S = 15;

/** A second probe that the rig should have and nobody hears. */
export function checkSecondProbe({ state }: Context): Finding {
  const { silentS } = state.watch.pair;
  if (!state.settings.equipment.secondProbe || silentS < SILENT_S) return quiet('second-probe-lost');
  return {
    alarmId: 'second-probe-lost',
    active: true,
    heatOff: false,
    detail: `Saw no reading of the second probe for ${Math.round(silentS)} s; expected one every second.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const SILENT_S = 15;

/** A level switch that the rig should have and that does not report. */
export function checkLevelSwitch({ state, input }: Context): Finding {
  const { levelSilentS } = state.watch.switches;
  if (!state.settings.equipment.levelSwitch || input.board.link === 'down' || levelSilentS < SILENT_S)
    return quiet('level-switch-lost');
  return {
    alarmId: 'level-switch-lost',
    active: true,
    heatOff: false,
    detail: `Saw no report of the level switch for ${Math.round(levelSilentS)} s; expected one every second.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { heatIsMissing } from './watch/trial.ts';

/** Heat is switched and the water does as if it were not: element dead, fuse, plug, or a probe out of the water. */
export function checkNoRise({ state }: Context): Finding {
  const { trial } = state.watch;
  if (!heatIsMissing(trial) || !trial.heat) return quiet('heat-no-rise');
  const { share, triedC } = trial.heat;
  return {
    alarmId: 'heat-no-rise',
    active: true,
    // Now and then it is tried again, so that a fuse put back or mains that return need no hand at the bath.
    heatOff: trial.running !== 'on',
    brief: true,
    detail: `Saw ${Math.max(0, share * triedC).toFixed(2)} °C of heat arrive in the reading when it was last tried; expected ${triedC.toFixed(2)} °C.`,
  };
}

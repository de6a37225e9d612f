import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { heatIsMissing } from './watch/trial.ts';

/** So much heat may at most be in the water unseen, where the probe and not the element is at fault, degC. */
const MOST_UNSEEN_C = 1.6;
/** The last answer rings so long, s; the trip stays until a person clears it, which only they can judge. */
const RINGS_S = 60;

/** Trials that nobody answers must end: were the probe out of the water, each of them would warm it unseen. */
export function checkUnanswered({ state }: Context): Finding {
  const { trial } = state.watch;
  if (!heatIsMissing(trial) || !trial.heat || trial.heat.badC < MOST_UNSEEN_C)
    return quiet('heat-unanswered');
  if (state.clockS - trial.heat.atS > RINGS_S) return quiet('heat-unanswered');
  return {
    alarmId: 'heat-unanswered',
    active: true,
    heatOff: true,
    detail: `Saw none of ${trial.heat.badC.toFixed(1)} °C of heat arrive in the reading, trial after trial; expected all of it.`,
  };
}

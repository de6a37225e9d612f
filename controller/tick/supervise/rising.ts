import { type Finding, quiet } from '../alarm/step.ts';
import { heatJK } from '../control/identify/figures.ts';
import type { Context } from './context.ts';
import type { RiseStories } from './watch/rise.ts';
import { isWelded } from './watch/trial.ts';

/** Unasked heat must beat "nothing happened", an even rise alone, and hot water poured in by so much (log-likelihood). */
const SURE = 6;
const SURE_ON_TOP = 4;
const SURER_THAN_POURED = 2;
/** An answer rings so long, s; the trip stays until a person clears it. */
const RINGS_S = 60;

/** Whether the water rises by heat that was not switched on. */
export function risesUnasked(rise: RiseStories | null): boolean {
  if (rise === null || rise.unasked < SURE || rise.unaskedOnTop < SURE_ON_TOP) return false;
  return rise.unaskedOnTop - rise.pouredOnTop > SURER_THAN_POURED;
}

/** Rising without heat: a switch is welded. Both are opened at once, and stay open. */
export function checkRising({ state }: Context): Finding {
  const { balance, trial, rise } = state.watch;
  const { now } = balance;
  if (!now) return quiet('rising-unasked');
  if (trial.guard !== null && isWelded(trial) && state.clockS - trial.guard.atS < RINGS_S) {
    const { share, triedC } = trial.guard;
    return {
      alarmId: 'rising-unasked',
      active: true,
      heatOff: true,
      detail: `Saw ${(share * triedC).toFixed(2)} °C of heat come when only the guard was closed to try it; expected none with the regulating switch open.`,
    };
  }
  if (!risesUnasked(rise)) return quiet('rising-unasked');
  const jk = heatJK(state.rig, state.settings);
  const askedW = Math.round(now.heatCPerS * jk);
  const fullW = Math.round(now.fullCPerS * jk);
  return {
    alarmId: 'rising-unasked',
    active: true,
    heatOff: true,
    detail: `Saw the water rise ${(now.quick.rate * 60).toFixed(2)} °C a minute more than asked, as with the whole ${fullW} W switched on; expected ${askedW} W.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import { heatJK } from '../control/identify/figures.ts';
import type { Context } from './context.ts';
import type { BalanceNow } from './watch/balance.ts';
import type { RiseStories } from './watch/rise.ts';
import { isWelded } from './watch/trial.ts';

/** Unasked heat must beat "nothing happened", an even rise alone, and hot water poured in by so much (log-likelihood). */
const SURE = { unasked: 6, onTop: 4, overPoured: 2 };
/** Once it beats "nothing happened" by far, hot water need not be beaten by so much. */
const BY_FAR = { unasked: 25, overPoured: 1 };
/** While food takes much heat, and nobody knows how much exactly, it must do so by far. */
const SURE_WITH_FOOD = { unasked: 30, onTop: 15, overPoured: 6 };
/** Food takes much where what is not known of it is more than this share of the heat that is not asked for. */
const FOOD_SHARE = 0.1;

/** An answer rings so long, s; the trip stays until a person clears it. */
const RINGS_S = 60;

/** Whether the water rises by heat that was not switched on. */
export function risesUnasked(rise: RiseStories | null, now: BalanceNow): boolean {
  if (rise === null) return false;
  const free = now.fullCPerS * (1 - now.arriving);
  const least = now.foodSpread > FOOD_SHARE * free ? SURE_WITH_FOOD : SURE;
  if (rise.unasked < least.unasked || rise.unaskedOnTop < least.onTop) return false;
  const overPoured = least === SURE && rise.unasked > BY_FAR.unasked ? BY_FAR.overPoured : least.overPoured;
  return rise.unaskedOnTop - rise.pouredOnTop > overPoured;
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
  if (!risesUnasked(rise, now)) return quiet('rising-unasked');
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

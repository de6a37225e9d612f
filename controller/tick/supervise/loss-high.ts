import { type Finding, quiet } from '../alarm/step.ts';
import { heatJK } from '../control/identify/figures.ts';
import type { Context } from './context.ts';
import type { BalanceNow, Unexplained } from './watch/balance.ts';
import { heatIsMissing } from './watch/trial.ts';

/** A story must beat "nothing happened" by so much (log-likelihood) ... */
const SURE = 14;
/** ... and the loss be this share of what an open lid adds, or of full heat. */
const LID_SHARE = 0.3;
const HEAT_SHARE = 0.012;

/** The least extra loss that is told, degC/s. */
function least(now: BalanceNow, lidCPerS: number, seen: Unexplained): number {
  const noise = 6 * seen.error + 2.5 * now.modelSd + now.foodSpread;
  return Math.max(noise, LID_SHARE * lidCPerS, HEAT_SHARE * now.fullCPerS);
}

/** The water loses more than this bath is known to lose: lid off or ajar, leak, cold load; or less heat comes than is switched. */
export function checkLossHigh({ state }: Context): Finding {
  const { balance, stories, trial } = state.watch;
  const { now } = balance;
  if (!now) return quiet('loss-high');
  if (heatIsMissing(trial)) return quiet('loss-high');
  const lidCPerS = state.rig.lid.mean * (now.shape.steamWM2 + now.shape.openWM2);
  const told = stories !== null && Math.max(stories.moreLoss, stories.noHeat) > SURE;
  const steep = [now.short, now.long].some((seen) => -seen.rate > least(now, lidCPerS, seen));
  const slow = told && -now.long.rate > 4 * now.long.error + 2 * now.modelSd + now.foodSpread;
  if (!steep && !slow) return quiet('loss-high');
  const jk = heatJK(state.rig, state.settings);
  const extraW = Math.max(-now.short.rate, -now.long.rate) * jk;
  const knownW = now.lossCPerS * jk;
  return {
    alarmId: 'loss-high',
    active: true,
    heatOff: false,
    detail: `Saw the water lose ${Math.round(knownW + extraW)} W; expected ${Math.round(knownW)} W at ${now.waterC.toFixed(0)} °C with the lid on, and about ${Math.round(knownW + lidCPerS * jk)} W with it off.`,
  };
}

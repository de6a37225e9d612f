import { type Finding, quiet } from '../alarm/step.ts';
import { heatJK } from '../control/identify/figures.ts';
import type { Context } from './context.ts';

/** The load must have fallen by more than what is not known of the food, and food be worth the look at all. */
const WORTH_SHARE = 0.04;
/** For so long after a lid or a loss the level settles, s. */
const SETTLES_S = 600;

/** Food takes less heat than it should, or its core lags behind the worst case: a bag that came up. */
export function checkAfloat(context: Context): Finding {
  const { state } = context;
  const behind = state.bags.find(
    (bag) => bag.outAtMs === null && bag.lies === 'under' && bag.measured?.flags.includes('below-worst-case'),
  );
  if (behind?.measured) {
    const { celsius } = behind.measured;
    return {
      alarmId: 'bag-afloat',
      active: true,
      heatOff: false,
      detail: `Saw ${celsius?.toFixed(1)} °C in ${behind.spec.label}; expected at least ${behind.estimate.core.lowC.toFixed(1)} °C from a bag wholly under water.`,
    };
  }
  return fallenLoad(context);
}

function fallenLoad({ state }: Context): Finding {
  const { balance, sankAtS } = state.watch;
  const { now } = balance;
  if (!now || now.foodCPerS < WORTH_SHARE * now.fullCPerS || state.clockS - sankAtS < SETTLES_S)
    return quiet('bag-afloat');
  const least = Math.max(6 * now.long.error + 2.5 * now.modelSd, now.foodSpread);
  if (now.long.rate < least || now.long.rate > 1.2 * now.foodCPerS + least) return quiet('bag-afloat');
  const jk = heatJK(state.rig, state.settings);
  return {
    alarmId: 'bag-afloat',
    active: true,
    heatOff: false,
    detail: `Saw the food take about ${Math.round((now.foodCPerS - now.long.rate) * jk)} W; expected about ${Math.round(now.foodCPerS * jk)} W from the bags entered.`,
  };
}

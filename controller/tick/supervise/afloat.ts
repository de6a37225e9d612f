import { type Finding, quiet } from '../alarm/step.ts';
import { heatJK } from '../control/identify/figures.ts';
import type { Context } from './context.ts';
import { risesUnasked } from './rising.ts';

/** Less load than expected by this share of what the food should take, at least. */
const SHARE = 0.5;

/** Food takes less heat than it should: a bag that came up, or was taken out without a word. */
export function checkAfloat({ state }: Context): Finding {
  const { balance, rise } = state.watch;
  const { now } = balance;
  if (!now || now.foodCPerS <= 0 || risesUnasked(rise)) return quiet('bag-afloat');
  const noise = 6 * now.short.error + 2.5 * now.modelSd;
  if (now.short.rate < Math.max(noise, SHARE * now.foodCPerS) || now.short.rate > 1.2 * now.foodCPerS + noise)
    return quiet('bag-afloat');
  const jk = heatJK(state.rig, state.settings);
  return {
    alarmId: 'bag-afloat',
    active: true,
    heatOff: false,
    detail: `Saw the food take about ${Math.round((now.foodCPerS - now.short.rate) * jk)} W; expected about ${Math.round(now.foodCPerS * jk)} W from the bags entered.`,
  };
}

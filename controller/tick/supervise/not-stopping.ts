import { type Finding, quiet } from '../alarm/step.ts';
import { BEAT_S, DELAY } from '../control/identify/rig.ts';
import type { Context } from './context.ts';
import { delaySd } from './watch/balance.ts';

/** Three stretches of rising water, one after the other, of so many beats each; all after the last heat has arrived. */
const STRETCH = 4;
const BEATS = 3 * STRETCH;
/** In each the water rises at no less and no more than these shares of what full heat does. */
const SLOWEST = 0.35;
const FASTEST = 1.4;
/** ... and by more than chance: three such in a row do not come of noise. */
const NOISE_SD = 1.5;
/** Heat still on its way, as a share of full heat. */
const ON_ITS_WAY = 0.05;

/** Heat given or leaked has arrived once so long has passed, s. */
const arrivedS = (rig: Context['state']['rig']) =>
  BEAT_S * BEATS + 1.5 * rig.belief.mean[DELAY]! + delaySd(rig);

/** Both switches are open and the water still rises: nothing but the plug stops it. */
export function checkNotStopping({ state }: Context): Finding {
  const { balance, switches } = state.watch;
  const { now, waters } = balance;
  if (!now || waters.length <= BEATS || now.arriving > ON_ITS_WAY || switches.openS < arrivedS(state.rig))
    return quiet('heat-not-stopping');
  const last = waters.length - 1;
  const full = now.fullCPerS * STRETCH * BEAT_S;
  const noise = 3 * Math.SQRT2 * now.meanSdC;
  const least = Math.max(SLOWEST * full, NOISE_SD * Math.SQRT2 * now.meanSdC);
  for (let i = 0; i < 3; i++) {
    const rose = waters[last - i * STRETCH]! - waters[last - (i + 1) * STRETCH]!;
    if (rose < least || rose > FASTEST * full + noise) return quiet('heat-not-stopping');
  }
  const perMin = ((waters[last]! - waters[last - BEATS]!) / (BEATS * BEAT_S)) * 60;
  return {
    alarmId: 'heat-not-stopping',
    active: true,
    heatOff: true,
    detail: `Saw the water rise ${perMin.toFixed(2)} °C a minute with both switches open for ${Math.round(switches.openS)} s; expected it to fall ${(now.lossCPerS * 60).toFixed(2)} °C a minute. Pull the plug now.`,
  };
}

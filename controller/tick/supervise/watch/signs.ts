import { BEAT_S, DELAY, NARROW, type RigState } from '../../control/identify/rig.ts';
import { type Balance, type BalanceNow, delaySd, standbyHeat } from './balance.ts';
import { fitRise, type RiseStories } from './rise.ts';
import { fitStories, fitWeld, type Stories } from './stories.ts';

/** After anything that stirred the water its layers even out for minutes: so many beats must have passed. */
const SETTLED_BEATS = 18;
/** While more than this share of full heat is asked for, what is not asked for does not stand out. */
const MUCH_HEAT = 0.55;
/** The heat that was reckoned with may be off by this share, the supply's wander alone. */
const HEAT_SPREAD = 0.06;
/** A level this far down is worth the fitting of stories, standard deviations of a beat's mean. */
const DOWN_SD = 1.5;

/** The level moves more than noise and what is not known of rig and food explain. */
function movesBeyond(now: BalanceNow, way: 1 | -1): boolean {
  const model = 2 * now.modelSd + 0.7 * now.foodSpread;
  return [now.quick, now.short, now.long].some(({ rate, error }) => way * rate > error + model);
}

/** A level that rises is held against the time for which only the guard was closed. */
export function weldOf(balance: Balance, now: BalanceNow, rig: RigState): number {
  const { levels } = balance;
  if (levels.length < 18) return 0;
  const rise = levels.at(-1)! + levels.at(-2)! - levels[0]! - levels[1]!;
  if (rise < 4 * now.meanSdC || !movesBeyond(now, 1)) return 0;
  return fitWeld(levels, standbyHeat(balance, rig), noiseOf(balance, now));
}

/** A level that has risen clear of its noise is held against unasked heat and hot water. */
export function riseOf(balance: Balance, now: BalanceNow, rig: RigState): RiseStories | null {
  const { levels } = balance;
  const last = levels.length;
  if (last < SETTLED_BEATS) return null;
  const freeCPerS = now.fullCPerS * (1 - now.arriving);
  // While much heat is asked for, or food takes much, what is not asked for does not stand out.
  if (now.arriving > MUCH_HEAT || 2.5 * now.foodSpread > freeCPerS) return null;
  let before = 0;
  for (let i = last - 18; i < last - 8; i++) before += levels[i]! / 10;
  const rose = (levels[last - 1]! + levels[last - 2]!) / 2 - before;
  if (rose < Math.max(3.5 * now.meanSdC, 3 * freeCPerS)) return null;
  const { mean } = rig.belief;
  const shape = { freeCPerS, delayS: mean[DELAY]!, narrowShare: mean[NARROW]!, beatS: BEAT_S };
  const timing = now.fullCPerS * (0.1 * BEAT_S + delaySd(rig) * now.swing);
  return fitRise(levels, shape, Math.hypot(now.meanSdC, 0.008 + timing));
}

/** What is not known of rig and food may bend the level by itself: it counts as noise here, degC. */
function noiseOf({ levels }: Balance, now: BalanceNow): number {
  const bend = (now.modelSd + 0.7 * now.foodSpread) * levels.length * 10 * 0.3;
  return Math.hypot(now.meanSdC, 0.01, bend);
}

/** A level that has fallen clear of its noise is held against heat that does not arrive and more loss; else null. */
export function storiesOf(balance: Balance, now: BalanceNow): Stories | null {
  const { levels, heats } = balance;
  if (levels.length < 12) return null;
  let tail = 0;
  let head = 0;
  const half = Math.floor(levels.length / 2);
  for (let i = 0; i < half; i++) head += levels[i]!;
  for (let i = levels.length - 4; i < levels.length; i++) tail += levels[i]!;
  if (tail / 4 > head / half - DOWN_SD * now.meanSdC || !movesBeyond(now, -1)) return null;
  const heatSpread = Math.min(0.5, HEAT_SPREAD + (2 * now.modelSd) / now.fullCPerS);
  return fitStories(levels, heats, noiseOf(balance, now), heatSpread);
}

import { heatJK } from '../../control/identify/figures.ts';
import { dateRig, observeRig } from '../../control/identify/observe.ts';
import { BEAT_S, DELAY, NARROW, RATE, type RigState } from '../../control/identify/rig.ts';
import type { Sense } from '../../sense.ts';
import type { TickState } from '../../state.ts';
import type { Work } from '../../work.ts';
import {
  arrivingShare,
  type Balance,
  type BalanceNow,
  delaySd,
  NO_BALANCE,
  restartBalance,
  standbyHeat,
  watchBalance,
} from './balance.ts';
import { CALM_CLOCKS, type ClockWatch, watchClocks } from './clocks.ts';
import { explainFall, type Fall, fastestLoss, NO_FALL, watchFall } from './fall.ts';
import { type LidSpell, learnLid, NO_SPELL } from './lid.ts';
import { hearSecond, NO_PAIR, type Pair, watchPair } from './pair.ts';
import { FRESH_READING, type ReadingWatch, watchReading } from './reading.ts';
import { fitRise, type RiseStories } from './rise.ts';
import { fitStories, fitWeld, type Stories } from './stories.ts';
import { CALM_SWITCHES, type SwitchWatch, watchSwitches } from './switches.ts';
import { NO_TRIAL, readAnswer, SUSPECT, stepTrial, type Trial } from './trial.ts';
import { FULL, type WaterWatch, watchWater } from './water.ts';

/** Everything the checks look at beyond the present tick. Plain data. */
export interface Watch {
  readonly reading: ReadingWatch;
  readonly balance: Balance;
  /** What the balance tells where its level has fallen; null where it has not. */
  readonly stories: Stories | null;
  /** How much better than nothing it is that a switch is welded. */
  readonly weld: number;
  /** What a rise of the level tells; null where it does not rise. */
  readonly rise: RiseStories | null;
  /** When the level last fell by more than noise, s of the tick's clock. */
  readonly sankAtS: number;
  readonly trial: Trial;
  readonly fall: Fall;
  readonly pair: Pair;
  readonly lid: LidSpell;
  readonly switches: SwitchWatch;
  readonly clocks: ClockWatch;
  readonly water: WaterWatch;
  readonly roomC: number;
}

/** Room that nobody measures, degC. */
const USUAL_ROOM_C = 20;

export const FIRST_WATCH: Watch = {
  reading: FRESH_READING,
  balance: NO_BALANCE,
  stories: null,
  weld: 0,
  rise: null,
  sankAtS: -1e6,
  trial: NO_TRIAL,
  fall: NO_FALL,
  pair: NO_PAIR,
  lid: NO_SPELL,
  switches: CALM_SWITCHES,
  clocks: CALM_CLOCKS,
  water: FULL,
  roomC: USUAL_ROOM_C,
};

/** A lease heats for so long, s; a later tick finds the heat already off. */
const LEASE_S = 1.6;
/** The room is followed over this time, s. */
const ROOM_S = 120;
/** After anything that stirred the water its layers even out for minutes: so many beats must have passed. */
const SETTLED_BEATS = 18;
const MUCH_HEAT = 0.55;
/** A level that stops falling bends upwards: a lid that came back. So long it is not taken for a rise, s. */
const SINK_OVER_S = 300;
/** ... where it fell at more than this share of what full heat lifts it by. */
const SINK_SHARE = 0.08;
/** A level this far down is worth the fitting of stories, standard deviations of a beat's mean. */
const DOWN_SD = 1.5;

/** Takes this tick into the rig's figures and into everything the checks look at. */
export function watchBath(work: Work, sense: Sense, before: TickState): void {
  const { next, input, dtS } = work;
  const { watch } = next;
  const heated = before.heat.granted && dtS > 0 ? Math.min(1, LEASE_S / dtS) : 0;
  const roomC = roomOf(watch, input.readings.ambient, dtS);
  next.rig = observeRig(next.rig, {
    celsius: sense.celsius,
    heat: heated,
    dtS,
    clockS: next.clockS,
    roomC,
    teach: mayTeach(watch),
  });
  const modelCPerS =
    next.rig.belief.mean[RATE]! * arrivingShare(next.rig) - (watch.balance.now?.lossCPerS ?? 0);
  const lidCPerS = watch.balance.now ? fastestLoss(watch.balance.now, next.rig.lid) : 0;
  const second = input.readings.second;
  next.watch = {
    ...watch,
    roomC,
    reading: watchReading(watch.reading, sense.celsius, modelCPerS, lidCPerS, dtS),
    pair: hearSecond(watch.pair, second?.quality === 'good' ? second.celsius : null, dtS),
    switches: watchSwitches(watch.switches, input.board, before.heat.granted, before.heat.guarded, dtS),
    clocks:
      before.sequence === 0
        ? watch.clocks
        : watchClocks(watch.clocks, dtS, (input.wallMs - before.wallMs) / 1000),
  };
  if (next.rig.last !== null && next.rig.last.number !== watch.balance.beat) closeBeat(work);
  next.watch = { ...next.watch, trial: tryOut(next, sense) };
}

/** The trial, one step on. A rig with one switch has no guard to try alone. */
function tryOut(state: TickState, sense: Sense): Trial {
  const { stories, weld, balance, trial } = state.watch;
  const noHeat = stories !== null && stories.noHeat > 0.5 * stories.moreLoss ? stories.noHeat : 0;
  const hasGuard = state.settings.equipment.switches === 2;
  const calm = noHeat < SUSPECT && weld < SUSPECT && (trial.heat?.bad ?? 0) + (trial.guard?.bad ?? 0) === 0;
  if (trial.running === null && calm) return trial;
  const suspicion = { noHeat, weld: hasGuard ? weld : 0, now: balance.now, roomC: burstRoomC(state, sense) };
  return stepTrial(trial, suspicion, state.clockS);
}

/** A beat has ended: everything that goes by beats. */
function closeBeat(work: Work): void {
  const { next, input } = work;
  const { watch, settings } = next;
  next.rig = dateRig(next.rig, input.wallMs);
  const jk = heatJK(next.rig, settings);
  const switches = { ...watch.switches, standbyS: 0 };
  const { standbyS } = watch.switches;
  let balance = watchBalance(watch.balance, next.rig, next.bags, watch.roomC, next.clockS, jk, standbyS);
  const { now } = balance;
  if (now === null) {
    next.watch = {
      ...watch,
      balance,
      switches,
      stories: null,
      weld: 0,
      pair: watchPair(watch.pair, null, 0, 0, false),
    };
    return;
  }
  const { fall, ended } = watchFall(watch.fall, balance, now, next.rig.lid, next.clockS);
  const pair = watchPair(watch.pair, now.waterC, now.arriving, now.swing, !fall.moving);
  if (ended) balance = restartBalance(balance);
  const stories = ended || fall.moving ? null : storiesOf(balance, now);
  const suspect = stories !== null && Math.max(stories.noHeat, stories.moreLoss) > SUSPECT;
  const sinks = suspect && -now.short.rate > SINK_SHARE * now.fullCPerS;
  const sankAtS = sinks ? next.clockS : watch.sankAtS;
  const { spell, lid } = learnLid(watch.lid, now, stories, next.rig.lid);
  if (lid !== next.rig.lid) next.rig = { ...next.rig, lid };
  next.watch = {
    ...watch,
    balance,
    switches,
    stories,
    weld: ended || fall.moving ? 0 : weldOf(balance, now, next.rig),
    sankAtS,
    rise: next.clockS - sankAtS < SINK_OVER_S ? null : riseOf(balance, now, next.rig),
    fall: agreeing(pair, fall) ? explainFall(fall) : fall,
    pair,
    lid: spell,
    water: watchWater(watch.water, next.rig, now, jk),
    trial: answered(watch.trial, balance, now, next.rig, next.clockS),
  };
}

function answered(trial: Trial, balance: Balance, now: BalanceNow, rig: RigState, clockS: number): Trial {
  if (!trial.open || trial.running !== null) return trial;
  const { levels, heats } = balance;
  const traces = { levels, heats, standby: standbyHeat(balance, rig), sdC: Math.hypot(now.meanSdC, 0.01) };
  return readAnswer(trial, traces, rig.belief.mean[DELAY]!, clockS);
}

/** The second probe fell as well: what the bath's probe shows is the water. */
function agreeing(pair: Pair, fall: Fall): boolean {
  return (
    !fall.moving &&
    fall.fellC > 1.5 &&
    pair.silentS < 10 &&
    pair.offC !== null &&
    pair.learned > 24 &&
    Math.abs(pair.offC) < 0.4 * fall.fellC
  );
}

/** The level moves more than noise and what is not known of rig and food explain. */
function movesBeyond(now: BalanceNow, way: 1 | -1): boolean {
  const model = 2 * now.modelSd + 0.7 * now.foodSpread;
  return [now.quick, now.short, now.long].some(({ rate, error }) => way * rate > error + model);
}

/** A level that rises is held against the time for which only the guard was closed. */
function weldOf(balance: Balance, now: BalanceNow, rig: RigState): number {
  const { levels } = balance;
  if (levels.length < 18) return 0;
  const rise = levels.at(-1)! + levels.at(-2)! - levels[0]! - levels[1]!;
  if (rise < 4 * now.meanSdC || !movesBeyond(now, 1)) return 0;
  return fitWeld(levels, standbyHeat(balance, rig), noiseOf(balance, now));
}

/** A level that has risen clear of its noise is held against unasked heat and hot water. */
function riseOf(balance: Balance, now: BalanceNow, rig: RigState): RiseStories | null {
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

function storiesOf(balance: Balance, now: BalanceNow): Stories | null {
  const { levels, heats } = balance;
  if (levels.length < 12) return null;
  let tail = 0;
  let head = 0;
  const half = Math.floor(levels.length / 2);
  for (let i = 0; i < half; i++) head += levels[i]!;
  for (let i = levels.length - 4; i < levels.length; i++) tail += levels[i]!;
  if (tail / 4 > head / half - DOWN_SD * now.meanSdC || !movesBeyond(now, -1)) return null;
  return fitStories(levels, heats, noiseOf(balance, now));
}

/** Food that nobody can reckon exactly, an open lid, a fault: none of them may teach what the rig is like. */
function mayTeach({ balance, stories, weld, fall }: Watch): boolean {
  const { now } = balance;
  if (fall.moving) return false;
  if (now === null) return true;
  if (now.foodSpread > 0.012 * now.fullCPerS) return false;
  if (stories !== null && Math.max(stories.noHeat, stories.moreLoss) > 0.6 * SUSPECT) return false;
  if (weld > 0.6 * SUSPECT) return false;
  return now.short.rate < 4 * now.short.error + 2 * now.modelSd;
}

/** How far a burst of heat for a trial is from taking the water over its setpoint, degC. */
function burstRoomC(state: TickState, sense: Sense): number {
  const { cook } = state;
  return cook === null || sense.celsius === null ? -1 : cook.setpointC + 0.15 - sense.celsius;
}

function roomOf(watch: Watch, ambient: Work['input']['readings']['ambient'], dtS: number): number {
  const celsius = ambient?.quality === 'good' ? ambient.celsius : null;
  if (celsius === null || celsius < -40 || celsius > 60) return watch.roomC;
  if (watch.balance.beat < 0) return celsius;
  return watch.roomC + Math.min(1, dtS / ROOM_S) * (celsius - watch.roomC);
}

/** Something known changes what the water does: the balance begins anew, and nothing is left unexplained. */
export function explainWatch(watch: Watch): Watch {
  return {
    ...watch,
    balance: restartBalance(watch.balance),
    stories: null,
    weld: 0,
    rise: null,
    trial: NO_TRIAL,
    fall: explainFall(watch.fall),
  };
}

import { heatJK } from '../../control/identify/figures.ts';
import { dateRig, observeRig, reopenRate } from '../../control/identify/observe.ts';
import { RATE } from '../../control/identify/rig.ts';
import type { Sense } from '../../sense.ts';
import type { TickState } from '../../state.ts';
import type { Work } from '../../work.ts';
import {
  arrivingShare,
  type Balance,
  type BalanceNow,
  NO_BALANCE,
  restartBalance,
  watchBalance,
} from './balance.ts';
import { CALM_CLOCKS, type ClockWatch, watchClocks } from './clocks.ts';
import { explainFall, type Fall, fallWhileAway, fastestLoss, NO_FALL, watchFall } from './fall.ts';
import { type LidSpell, learnLid, NO_SPELL } from './lid.ts';
import { hearSecond, NO_PAIR, type Pair, watchPair } from './pair.ts';
import { FRESH_READING, type ReadingWatch, watchReading } from './reading.ts';
import type { RiseStories } from './rise.ts';
import { riseOf, storiesOf, weldOf } from './signs.ts';
import { closeStandby, NO_STANDBY, type Standby, stepStandby } from './standby.ts';
import type { Stories } from './stories.ts';
import { CALM_SWITCHES, type SwitchWatch, watchSwitches } from './switches.ts';
import { heatIsMissing, NO_TRIAL, SUSPECT, type Trial } from './trial.ts';
import { afterRestart, answered, tryOut } from './try-out.ts';
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
  readonly standby: Standby;
  readonly clocks: ClockWatch;
  readonly water: WaterWatch;
  readonly roomC: number;
}

/** Room that nobody measures, degC. */
const USUAL_ROOM_C = 20;

/** Nothing watched yet; `pair` is what an earlier log knew of the two probes. */
export function firstWatch(pair: Pick<Pair, 'belief' | 'learned'> | null): Watch {
  return {
    reading: FRESH_READING,
    balance: NO_BALANCE,
    stories: null,
    weld: 0,
    rise: null,
    sankAtS: -1e6,
    trial: NO_TRIAL,
    fall: NO_FALL,
    pair: { ...NO_PAIR, ...pair },
    lid: NO_SPELL,
    switches: CALM_SWITCHES,
    standby: NO_STANDBY,
    clocks: CALM_CLOCKS,
    water: FULL,
    roomC: USUAL_ROOM_C,
  };
}

/** A lease heats for so long, s; a later tick finds the heat already off. */
const LEASE_S = 1.6;
/** A reading that has not moved by a digit for so long may be a dead value and teaches nothing, s. */
const STILL_S = 50;
/** The room is followed over this time, s. */
const ROOM_S = 120;
/** A level that stops falling bends upwards: a lid that came back. So long it is not taken for a rise, s. */
const SINK_OVER_S = 300;
/** ... where it fell at more than this share of what full heat lifts it by. */
const SINK_SHARE = 0.025;
/** Less than this share of the heat that is not asked for is no welded switch. */
const HEAT_SHARE = 0.25;
/** A slope that differs from the longer one by so many standard errors has turned. */
const TURN_SD = 4;
const ALL_HEAT = 0.8;
/** By more than this share no supply wanders. */
const FASTER = 0.1;

/** Takes this tick into the rig's figures and into everything the checks look at. */
export function watchBath(work: Work, sense: Sense, before: TickState): void {
  const { next, input } = work;
  const { watch } = next;
  // The time away belongs to no reading: the water begins anew.
  const dtS = input.restart ? 0 : work.dtS;
  const heated = before.heat.granted && dtS > 0 ? Math.min(1, LEASE_S / dtS) : 0;
  const roomC = roomOf(watch, input.readings.ambient, work.dtS);
  next.rig = observeRig(next.rig, {
    celsius: sense.celsius,
    heat: heated,
    dtS,
    clockS: next.clockS,
    roomC,
    foodCPerS: watch.balance.now?.foodCPerS ?? 0,
    teach: mayTeach(watch) && watch.reading.sameS < STILL_S,
  });
  const alone = before.heat.guarded && !before.heat.granted && dtS > 0;
  const { now } = watch.balance;
  // What the level did of late beside the model counts as possible, and so does a lid on or off.
  const besideCPerS = now ? Math.max(0, now.long.rate, now.short.rate) : 0;
  const modelCPerS =
    next.rig.belief.mean[RATE]! * arrivingShare(next.rig) - (now?.lossCPerS ?? 0) + besideCPerS;
  const lidCPerS = now ? fastestLoss(now, next.rig.lid) + besideCPerS : 0;
  const second = input.readings.second;
  next.watch = {
    ...watch,
    roomC,
    reading: watchReading(watch.reading, sense.celsius, modelCPerS, lidCPerS, now?.lossCPerS ?? 0, dtS),
    pair: hearSecond(watch.pair, second?.quality === 'good' ? second.celsius : null, dtS),
    switches: watchSwitches(watch.switches, input.board, before.heat.granted, before.heat.guarded, dtS),
    standby: stepStandby(watch.standby, next.rig, alone ? Math.min(1, LEASE_S / dtS) : 0, dtS),
    clocks:
      before.sequence === 0 || input.restart
        ? watch.clocks
        : watchClocks(watch.clocks, dtS, (input.wallMs - before.wallMs) / 1000),
  };
  if (next.rig.last !== null && next.rig.last.number !== watch.balance.beat) closeBeat(work);
  const trial = tryOut(next);
  if (trial !== next.watch.trial) next.watch = { ...next.watch, trial };
}

/** A beat has ended: everything that goes by beats. */
function closeBeat(work: Work): void {
  const { next, input } = work;
  const { watch, settings } = next;
  next.rig = dateRig(next.rig, input.wallMs);
  const jk = heatJK(next.rig, settings);
  const { standby, betweenS } = closeStandby(watch.standby);
  let balance = watchBalance(watch.balance, next.rig, next.bags, watch.roomC, next.clockS, jk, betweenS);
  const { now } = balance;
  if (now === null) {
    next.watch = {
      ...watch,
      balance,
      standby,
      stories: null,
      weld: 0,
      rise: null,
      pair: watchPair(watch.pair, null, 0, 0, false),
    };
    return;
  }
  const { fall, ended } = watchFall(watch.fall, balance, now, next.rig.lid, next.clockS);
  const pair = watchPair(watch.pair, now.waterC, now.arriving, now.swing, !fall.moving);
  if (ended) balance = restartBalance(balance);
  const stories = ended || fall.moving ? null : storiesOf(balance, now);
  const sinks = -now.short.rate > Math.max(4 * now.short.error + 2 * now.modelSd, SINK_SHARE * now.fullCPerS);
  const sankAtS = sinks ? next.clockS : watch.sankAtS;
  const { spell, lid } = learnLid(watch.lid, now, stories, next.rig.lid);
  if (lid !== next.rig.lid) next.rig = { ...next.rig, lid };
  if (warmsFaster(now)) {
    next.rig = reopenRate(next.rig);
    // What was reckoned with the old rate says nothing about the new one; else each beat would open it again.
    balance = restartBalance(balance);
  }
  next.watch = {
    ...watch,
    balance,
    standby,
    stories,
    weld: ended || fall.moving ? 0 : weldOf(balance, now, next.rig),
    sankAtS,
    rise: next.clockS - sankAtS < SINK_OVER_S ? null : riseOf(balance, now, next.rig),
    fall: agreeing(pair, fall) ? explainFall(fall) : fall,
    pair,
    lid: spell,
    water: watchWater(watch.water, next.rig, now, jk),
    trial: answered(watch.trial, stories, balance, now, next.rig, next.clockS),
  };
}

/** At full heat the water warms faster than the rig ever did: there is less of it. */
function warmsFaster({ arriving, long, fullCPerS, modelSd, foodSpread }: BalanceNow): boolean {
  if (arriving < ALL_HEAT) return false;
  return long.rate > Math.max(FASTER * fullCPerS, 6 * long.error + 2.5 * modelSd + foodSpread);
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

/** The level has just begun to go another way: a lid, a load. What the rig is like does not change within a minute. */
function turnsSharply({ quick, long }: BalanceNow): boolean {
  return Math.abs(quick.rate - long.rate) > TURN_SD * (quick.error + long.error);
}

/** Food that nobody can reckon exactly, an open lid, a fault: none of them may teach what the rig is like. */
function mayTeach({ balance, stories, weld, fall }: Watch): boolean {
  const { now } = balance;
  if (fall.moving) return false;
  if (now === null) return true;
  if (now.foodSpread > 0.012 * now.fullCPerS) return false;
  if (stories !== null && Math.max(stories.noHeat, stories.moreLoss) > 0.6 * SUSPECT) return false;
  if (weld > 0.6 * SUSPECT || turnsSharply(now)) return false;
  // A level that rises slowly tells of a loss taken for too much; one that rises as by heat nobody asked for, of a
  // switch. While nearly all of the heat is asked for there is none left to come unasked.
  if (now.arriving > ALL_HEAT) return true;
  const byHeat = HEAT_SHARE * (1 - now.arriving) * now.fullCPerS;
  return now.short.rate < Math.max(4 * now.short.error + 2 * now.modelSd, byHeat);
}

function roomOf(watch: Watch, ambient: Work['input']['readings']['ambient'], dtS: number): number {
  const celsius = ambient?.quality === 'good' ? ambient.celsius : null;
  if (celsius === null || celsius < -40 || celsius > 60) return watch.roomC;
  if (watch.balance.beat < 0) return celsius;
  return watch.roomC + Math.min(1, dtS / ROOM_S) * (celsius - watch.roomC);
}

/**
 * Something known changes what the water does: the balance begins anew. It explains no more of a fall of the reading
 * than `mostC` (degC), and heat that did not arrive stays missing until a trial is answered.
 */
export function disturbWatch(watch: Watch, mostC: number): Watch {
  const { trial } = watch;
  return {
    ...watch,
    balance: restartBalance(watch.balance),
    stories: null,
    weld: 0,
    rise: null,
    trial: { ...NO_TRIAL, triedGuardS: trial.triedGuardS, heat: heatIsMissing(trial) ? trial.heat : null },
    fall: explainFall(watch.fall, mostC),
  };
}

/** Somebody has looked at the bath: nothing is left unexplained. */
export function explainWatch(watch: Watch): Watch {
  const disturbed = disturbWatch(watch, Number.POSITIVE_INFINITY);
  return { ...disturbed, trial: { ...disturbed.trial, heat: null } };
}

/**
 * The controller was away until `clockS`, which explains nothing. `last` is the last reading before; null = nobody knows
 * how long.
 */
export function watchAfterAway(
  watch: Watch,
  last: { celsius: number; atS: number } | null,
  clockS: number,
): Watch {
  const trial = afterRestart(watch.trial, watch.stories, watch.balance, clockS);
  return { ...disturbWatch(watch, 0), trial, fall: fallWhileAway(watch.fall, last) };
}

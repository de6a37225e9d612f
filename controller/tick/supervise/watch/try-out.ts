import { DELAY, type RigState } from '../../control/identify/rig.ts';
import type { TickState } from '../../state.ts';
import { type Balance, type BalanceNow, standbyHeat } from './balance.ts';
import type { Stories } from './stories.ts';
import { cutShort, readAnswer, SUSPECT, stepTrial, type Traces, type Trial } from './trial.ts';

/** A dead element explains a falling level at least nearly as well as a loss does. */
const AS_WELL = 0.9;
/** So much better than a loss it is a dead element beyond doubt (log-likelihood). */
const CLEAR = 20;
/** What a level does by itself beside the noise of its mean, degC. */
const LEVEL_SD_C = 0.01;

/** The trial, one step on. A rig with one switch has no guard to try alone. */
export function tryOut(state: TickState): Trial {
  const { weld, balance, trial, stories } = state.watch;
  const { now } = balance;
  const noHeat = noHeatOf(stories);
  // Before the setpoint was reached only a suspicion is worth a trial.
  const worth = state.cook?.reached === true || noHeat >= SUSPECT || (trial.heat?.bad ?? 0) > 0;
  if (trial.running === null && (now === null || !worth)) return trial;
  const hasGuard = state.settings.equipment.switches === 2;
  const suspicion = { noHeat, weld, hasGuard, now, roomC: burstRoomC(state) };
  return stepTrial(trial, suspicion, state.clockS);
}

/** How much the level looks as if no heat arrived: nought where a loss explains it better. */
function noHeatOf(stories: Stories | null): number {
  return stories !== null && stories.noHeat > AS_WELL * stories.moreLoss ? stories.noHeat : 0;
}

/** The trial with its answer, once that can be read. */
export function answered(
  trial: Trial,
  stories: Stories | null,
  balance: Balance,
  now: BalanceNow,
  rig: RigState,
  clockS: number,
): Trial {
  if (!trial.open || trial.running !== null) return trial;
  const traces = tracesOf(stories, balance, now, standbyHeat(balance, rig));
  return readAnswer(trial, traces, rig.belief.mean[DELAY]!, clockS);
}

/** What answers are read from. */
function tracesOf(
  stories: Stories | null,
  { levels, heats }: Balance,
  now: BalanceNow,
  standby: readonly number[],
): Traces {
  const suspect = noHeatOf(stories) > SUSPECT;
  const sdC = Math.hypot(now.meanSdC, LEVEL_SD_C);
  const clear = stories !== null && stories.noHeat - stories.moreLoss > CLEAR;
  return { levels, heats, standby, sdC, suspect, clear };
}

/** The trial after a restart: what the stretch of the balance that it ended has said by itself. */
export function afterRestart(trial: Trial, stories: Stories | null, balance: Balance, clockS: number): Trial {
  const traces = balance.now && tracesOf(stories, balance, balance.now, balance.standbyS);
  return cutShort(trial, traces, clockS);
}

/**
 * A burst of heat moves the water by some tenths of a degree and may begin so far over the setpoint, degC: a well
 * insulated bath stays over its setpoint for an hour, and a dead element must be named before.
 */
const OVER_C = 1.2;

/** How far the water is below where no burst of heat is tried any more, degC. */
function burstRoomC(state: TickState): number {
  const { cook } = state;
  const { now } = state.watch.balance;
  return cook === null || now === null ? -1 : cook.setpointC + OVER_C - now.waterC;
}

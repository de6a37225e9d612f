import { type LossShape, lossShape } from '../../control/identify/loss.ts';
import {
  BEAT_S,
  DELAY,
  DRY,
  NARROW,
  RATE,
  type RigState,
  STEAM,
  WANDER,
} from '../../control/identify/rig.ts';
import type { BagTrack } from '../../state.ts';
import { type FoodHeat, foodWatts, stepFood } from './food.ts';
import { lineThrough, slopeError } from './line.ts';

/** How many beats are looked back on: twelve minutes. */
const MOST = 72;
/** Spans that slopes are taken over, beats. */
const QUICK = 9;
const SHORT = 18;
const LONG = 30;

/** A rate of change nobody can account for, degC/s, with its standard error from the noise of the readings. */
export interface Unexplained {
  readonly rate: number;
  readonly error: number;
}

/**
 * The heat balance of the bath beat by beat: what the water did less what heat, known loss and entered food should
 * have done to it. In a sound rig its level stays where it is; a fault shows in how the level moves. Plain data.
 */
export interface Balance {
  /** Number of the last beat taken in. */
  readonly beat: number;
  /** Unexplained level after each beat, degC, oldest first; begins anew after anything known to disturb it. */
  readonly levels: readonly number[];
  /** Heat that had arrived by each beat, as the rise it makes, degC. */
  readonly heats: readonly number[];
  /** Seconds of full heat that would have arrived by each beat had the guard alone let heat through. */
  readonly standbyS: readonly number[];
  /** Mean reading of each beat, degC. */
  readonly waters: readonly number[];
  readonly foods: readonly FoodHeat[];
  readonly now: BalanceNow | null;
}

/** What the balance says at the last beat. */
export interface BalanceNow {
  readonly waterC: number;
  readonly roomC: number;
  readonly shape: LossShape;
  /** Standard deviation of a beat's mean reading, degC. */
  readonly meanSdC: number;
  /** Share of full heat that arrives, and what it varied by over the last two minutes. */
  readonly arriving: number;
  readonly swing: number;
  /** Rates, degC/s: full heat, heat arriving, known loss, entered food. */
  readonly fullCPerS: number;
  readonly heatCPerS: number;
  readonly lossCPerS: number;
  readonly foodCPerS: number;
  /** How far off the food's may be, degC/s. */
  readonly foodSpread: number;
  /** How well the model's own rate is known, degC/s. */
  readonly modelSd: number;
  readonly quick: Unexplained;
  readonly short: Unexplained;
  readonly long: Unexplained;
}

export const NO_BALANCE: Balance = {
  beat: -1,
  levels: [],
  heats: [],
  standbyS: [],
  waters: [],
  foods: [],
  now: null,
};

/** The balance from here on: something known disturbs it. */
export function restartBalance(balance: Balance): Balance {
  return { ...balance, levels: [], heats: [], standbyS: [], waters: [], now: null };
}

/**
 * Takes in the beat that has just ended; the same object where none has. `heatJK` is the rig's heat capacity,
 * `standbyS` what would have arrived since the last beat had the guard alone let heat through.
 */
export function watchBalance(
  balance: Balance,
  rig: RigState,
  bags: readonly BagTrack[],
  roomC: number,
  clockS: number,
  heatJK: number,
  standbyS: number,
): Balance {
  const { last } = rig;
  if (last === null || last.number === balance.beat) return balance;
  if (last.celsius === null) return { ...restartBalance(balance), beat: last.number };
  const beforeC = balance.waters.at(-1) ?? null;
  const seconds = last.openS;
  const foods = stepFood(balance.foods, bags, beforeC ?? last.celsius, last.celsius, clockS, seconds);
  const food = foodWatts(foods);
  const foodC = (food.watts / heatJK) * seconds;
  const contiguous = beforeC !== null && last.number === balance.beat + 1;
  const moved = contiguous ? last.celsius - beforeC - (last.heatC - last.lossC - foodC) : 0;
  const levels = grown(contiguous ? balance.levels : [], moved);
  const heats = grown(contiguous ? balance.heats : [], contiguous ? last.heatC : 0);
  const standbys = grown(contiguous ? balance.standbyS : [], contiguous ? standbyS : 0);
  const waters = contiguous ? [...balance.waters.slice(1 - MOST), last.celsius] : [last.celsius];
  const now = judge(rig, levels, heats, roomC, food.watts / heatJK, food.spread / heatJK);
  return { beat: last.number, levels, heats, standbyS: standbys, waters, foods, now };
}

/** The sums so far with one more. */
function grown(sums: readonly number[], by: number): number[] {
  const kept = sums.length >= MOST ? sums.slice(1 - MOST) : sums.slice();
  kept.push((sums.at(-1) ?? 0) + by);
  return kept;
}

function judge(
  rig: RigState,
  levels: readonly number[],
  heats: readonly number[],
  roomC: number,
  foodCPerS: number,
  foodSpread: number,
): BalanceNow {
  const last = rig.last!;
  const { mean } = rig.belief;
  const shape = lossShape(last.celsius!, roomC);
  const arriving = arrivingShare(rig);
  return {
    waterC: last.celsius!,
    roomC,
    shape,
    meanSdC: last.meanSdC,
    arriving,
    swing: swingOf(heats, mean[RATE]!),
    fullCPerS: mean[RATE]!,
    heatCPerS: last.heatC / BEAT_S,
    lossCPerS: last.lossC / BEAT_S,
    foodCPerS,
    foodSpread,
    modelSd: modelSd(rig, shape, arriving),
    quick: slopeOver(levels, QUICK, last.meanSdC),
    short: slopeOver(levels, SHORT, last.meanSdC),
    long: slopeOver(levels, LONG, last.meanSdC),
  };
}

/** Share of full heat that arrives in the reading now. */
export function arrivingShare({ belief, path }: RigState): number {
  const share = belief.mean[NARROW]!;
  return path.broad + share * (path.narrow[3] - path.broad);
}

/** Largest less smallest share of full heat over the last twelve beats. */
function swingOf(heats: readonly number[], rate: number): number {
  let low = 1;
  let high = 0;
  for (let i = Math.max(1, heats.length - 12); i < heats.length; i++) {
    const share = (heats[i]! - heats[i - 1]!) / (rate * BEAT_S);
    low = Math.min(low, share);
    high = Math.max(high, share);
  }
  return Math.max(0, high - low);
}

function slopeOver(levels: readonly number[], beats: number, sdC: number): Unexplained {
  if (levels.length < beats) return { rate: 0, error: Number.MAX_VALUE };
  const { slope } = lineThrough(levels, levels.length - beats, levels.length);
  return { rate: slope / BEAT_S, error: (slopeError(beats) * sdC) / BEAT_S };
}

/** Standard deviation of the model's own rate from what is not known of the rig, degC/s. */
function modelSd(rig: RigState, shape: LossShape, arriving: number): number {
  const { cov, mean } = rig.belief;
  const n = mean.length;
  const row = new Array<number>(n).fill(0);
  row[RATE] = arriving;
  row[DRY] = -shape.dryK;
  row[STEAM] = -shape.steamWM2;
  row[WANDER] = arriving * mean[RATE]!;
  let sum = 0;
  for (const j of [RATE, DRY, STEAM, WANDER])
    for (const k of [RATE, DRY, STEAM, WANDER]) sum += row[j]! * row[k]! * cov[j * n + k]!;
  return Math.sqrt(Math.max(0, sum));
}

/** Standard deviation of the delay with what the model's shape leaves out, s. */
export function delaySd(rig: RigState): number {
  const n = rig.belief.mean.length;
  const own = rig.belief.cov[DELAY * n + DELAY]!;
  return Math.sqrt(own + (5 + 0.1 * rig.belief.mean[DELAY]!) ** 2);
}

/** Rise that full heat would have made had the guard alone let it through, beat by beat, degC. */
export function standbyHeat({ standbyS }: Balance, rig: RigState): number[] {
  const rate = rig.belief.mean[RATE]!;
  return standbyS.map((seconds) => rate * seconds);
}

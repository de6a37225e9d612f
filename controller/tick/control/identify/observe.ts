import { anchor, type Belief, correct, predict, surprise } from './kalman.ts';
import { type LossShape, lossShape } from './loss.ts';
import { type HeatPath, stepPath } from './path.ts';
import {
  BEAT_S,
  type Beat,
  type ClosedBeat,
  DELAY,
  DRY,
  EMPTY_BEAT,
  NARROW,
  type Noise,
  RATE,
  type RigState,
  STEAM,
  WANDER,
  WANDER_SD,
  WATER,
} from './rig.ts';

/** What one tick shows of the rig. */
export interface Shown {
  /** Valid reading of the water, degC; null where there is none. */
  readonly celsius: number | null;
  /** Share of the last step in which heat was on, 0..1. */
  readonly heat: number;
  readonly dtS: number;
  readonly clockS: number;
  readonly roomC: number;
  /** What the food entered should be taking, degC/s: it is no loss of the rig's. */
  readonly foodCPerS: number;
  /** Nothing is in the bath that takes heat nobody can reckon: what is seen now may teach. */
  readonly teach: boolean;
}

/** Digits of a probe keep a mean from getting better than this, degC. */
const DIGIT_SD_C = 0.012;
/** What the water does between two beats that no quantity explains, degC. */
const WATER_SD_C = 0.003;
/** Ageing, scale, less water: what the rate may change in a beat, as a share. */
const RATE_SD = 0.0006;
/** The supply's wander is half gone after seven minutes: share kept a beat. */
const WANDER_KEPT = Math.exp(-BEAT_S / 600);
/** A beat further off than this many standard deviations is a disturbance, not a lesson. */
const GATE = 3.5;
/** So many beats must go as expected after a disturbance before the rig is learned from again. */
const CALM_BEATS = 12;
const LONGEST_STEP_S = 30;

/** Takes in one tick. A new state once something was seen; the belief moves only where a beat ends. */
export function observeRig(rig: RigState, shown: Shown): RigState {
  const number = Math.floor(shown.clockS / BEAT_S);
  const closed = rig.beat.number >= 0 && number > rig.beat.number ? closeBeat(rig, shown) : rig;
  const path = stepPath(closed.path, shown.heat, Math.min(shown.dtS, LONGEST_STEP_S));
  return {
    ...closed,
    path,
    beat: addTo(number === closed.beat.number ? closed.beat : { number, ...EMPTY_BEAT }, path, shown),
    noise: hear(closed.noise, shown.celsius),
  };
}

function addTo(beat: Beat, path: HeatPath, { celsius, dtS }: Shown): Beat {
  return {
    number: beat.number,
    sumC: celsius === null ? beat.sumC : beat.sumC + celsius * dtS,
    goodS: celsius === null ? beat.goodS : beat.goodS + dtS,
    openS: beat.openS + dtS,
    broadS: beat.broadS + path.broad * dtS,
    narrowS: beat.narrowS + path.narrow[3] * dtS,
    broadPerS: beat.broadPerS + path.broadPerS * dtS,
    narrowPerS: beat.narrowPerS + path.narrowPerS[3] * dtS,
  };
}

/** Variance of single readings: a straight line through three in a row leaves (y - 2 y1 + y2), of variance 6 s^2. */
function hear(noise: Noise, celsius: number | null): Noise {
  const { oneAgoC, twoAgoC, varianceC2 } = noise;
  if (celsius === null) return oneAgoC === null ? noise : { oneAgoC: null, twoAgoC: null, varianceC2 };
  if (oneAgoC === null || twoAgoC === null) return { oneAgoC: celsius, twoAgoC: oneAgoC, varianceC2 };
  const bent = celsius - 2 * oneAgoC + twoAgoC;
  const now = Math.min((bent * bent) / 6, 16 * varianceC2 + 0.001);
  return { oneAgoC: celsius, twoAgoC: oneAgoC, varianceC2: varianceC2 + 0.01 * (now - varianceC2) };
}

/** Share-weighted mean of the two shapes. */
const mixed = (share: number, broad: number, narrow: number) => broad + share * (narrow - broad);

function closeBeat(rig: RigState, shown: Shown): RigState {
  const { beat, last, noise } = rig;
  const celsius = beat.goodS >= BEAT_S / 2 ? beat.sumC / beat.goodS : null;
  const meanSdC = Math.sqrt(Math.max(noise.varianceC2, 1e-5) / BEAT_S + DIGIT_SD_C * DIGIT_SD_C);
  const variance = meanSdC * meanSdC;
  // Means belong to the middles of their beats: between two of them lies half of each.
  const half = (now: number, before: number) => (now + before) / 2;
  const seconds = last ? half(beat.openS, last.openS) : 0;
  const broad = half(beat.broadS, last?.broadS ?? 0);
  const narrow = half(beat.narrowS, last?.narrowS ?? 0);
  const share = rig.belief.mean[NARROW]!;
  const arrivedS = mixed(share, broad, narrow);
  const perDelayS = mixed(
    share,
    half(beat.broadPerS, last?.broadPerS ?? 0),
    half(beat.narrowPerS, last?.narrowPerS ?? 0),
  );
  const shape = lossShape(rig.belief.mean[WATER]!, shown.roomC);
  const rate = rig.belief.mean[RATE]! * (1 + rig.belief.mean[WANDER]!);
  const heatC = rate * arrivedS;
  const lossC = lossRate(rig.belief, shape) * seconds;
  const closed: ClosedBeat = {
    number: beat.number,
    celsius,
    openS: beat.openS,
    broadS: beat.broadS,
    narrowS: beat.narrowS,
    broadPerS: beat.broadPerS,
    narrowPerS: beat.narrowPerS,
    heatC,
    lossC,
    meanSdC,
  };
  if (celsius === null || !last || last.celsius === null || beat.number !== last.number + 1) {
    const belief = celsius === null ? rig.belief : anchor(rig.belief, celsius, variance);
    return { ...rig, belief, last: closed, calmBeats: 0 };
  }
  const row = [
    1,
    heatC / rig.belief.mean[RATE]!,
    -shape.dryK * seconds,
    -shape.steamWM2 * seconds,
    rate * perDelayS,
    rate * (narrow - broad),
    rig.belief.mean[RATE]! * arrivedS,
  ];
  const expected = predict(
    rig.belief,
    heatC - lossC - shown.foodCPerS * seconds,
    row,
    WANDER_KEPT,
    wander(rig),
  );
  return learn({ ...rig, last: closed }, expected, celsius, variance, shown.teach, heatC);
}

/** Loss of the covered bath by the belief, degC/s. */
export function lossRate(belief: Belief, shape: LossShape): number {
  return belief.mean[DRY]! * shape.dryK + belief.mean[STEAM]! * shape.steamWM2;
}

function wander(rig: RigState): number[] {
  const { mean } = rig.belief;
  const rate = mean[RATE]! * RATE_SD;
  const dry = mean[DRY]! * 0.002;
  const steam = mean[STEAM]! * 0.002;
  return [
    WATER_SD_C * WATER_SD_C,
    rate * rate,
    dry * dry,
    steam * steam,
    0.0025,
    1e-6,
    WANDER_SD * WANDER_SD * (1 - WANDER_KEPT * WANDER_KEPT),
  ];
}

function learn(
  rig: RigState,
  expected: Belief,
  celsius: number,
  variance: number,
  teach: boolean,
  heatC: number,
): RigState {
  const { by, sd } = surprise(expected, celsius, variance);
  const calm = Math.abs(by) <= GATE * sd;
  const calmBeats = calm ? Math.min(1e6, rig.calmBeats + 1) : 0;
  // The first beats of a rig nobody knows are as wide as its description: they are never a surprise.
  if (!teach || !calm || (calmBeats < CALM_BEATS && rig.taughtC > 3)) {
    return { ...rig, belief: anchor(rig.belief, celsius, variance), calmBeats };
  }
  const belief = bounded(correct(expected, celsius, variance), rig.describedRate);
  return {
    ...rig,
    belief,
    path: retime(rig.path, belief.mean[DELAY]!),
    calmBeats,
    taughtC: rig.taughtC + heatC,
  };
}

/** No quantity may leave what a bath can be. */
function bounded(belief: Belief, described: number): Belief {
  const mean = belief.mean.slice();
  mean[RATE] = Math.min(2 * described, Math.max(0.5 * described, mean[RATE]!));
  mean[DRY] = Math.max(0, mean[DRY]!);
  mean[STEAM] = Math.max(0, mean[STEAM]!);
  mean[DELAY] = Math.min(240, Math.max(6, mean[DELAY]!));
  mean[NARROW] = Math.min(1.2, Math.max(-0.2, mean[NARROW]!));
  return { mean, cov: belief.cov };
}

/** The path with another mean delay: what is on its way is moved along with it. */
function retime(path: HeatPath, meanS: number): HeatPath {
  const by = meanS - path.meanS;
  if (Math.abs(by) < 1e-9) return path;
  const [a, b, c, d] = path.narrow;
  const [ap, bp, cp, dp] = path.narrowPerS;
  return {
    ...path,
    meanS,
    broad: path.broad + by * path.broadPerS,
    narrow: [a + by * ap, b + by * bp, c + by * cp, d + by * dp],
  };
}

/** Enough heat was seen, and the rate is known this well, as a share: the rig counts as identified. */
const TAUGHT_C = 8;
const KNOWN_SHARE = 0.05;

/** Notes the date once the figures are good; keeps it fresh while the rig goes on teaching. */
export function dateRig(rig: RigState, wallMs: number): RigState {
  const n = rig.belief.mean.length;
  const rate = rig.belief.mean[RATE]!;
  const known = rig.taughtC >= TAUGHT_C && Math.sqrt(rig.belief.cov[RATE * n + RATE]!) < KNOWN_SHARE * rate;
  if (!known) return rig;
  return { ...rig, identifiedAtMs: wallMs, firstRate: rig.firstRate ?? rate };
}

/** How far the rate is opened again where the bath warms otherwise than known, as a share. */
const REOPENED_SD = 0.2;

/** The rig has changed: what full heat does is learned anew. */
export function reopenRate(rig: RigState): RigState {
  const { mean, cov } = rig.belief;
  const n = mean.length;
  const opened = cov.slice();
  opened[RATE * n + RATE] = Math.max(cov[RATE * n + RATE]!, (REOPENED_SD * mean[RATE]!) ** 2);
  return { ...rig, belief: { mean, cov: opened }, calmBeats: CALM_BEATS };
}

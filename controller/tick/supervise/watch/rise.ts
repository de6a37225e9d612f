/**
 * Two stories of a level that rises: all the heat that was not asked for arrives since some moment (a welded switch),
 * or hot water was poured in and spreads. The first is fixed in size and shape by the identified rig, only its moment
 * is free; the second is a step that settles, free in size, time and moment. They are compared on top of an even rise
 * or fall, as food beyond the model makes. Half sums of squares in units of the noise, as in `stories.ts`.
 */
export interface RiseStories {
  /** How much better than "nothing happened": unasked heat. */
  readonly unasked: number;
  /** How much better than an even rise or fall alone: unasked heat, or hot water, on top of one. */
  readonly unaskedOnTop: number;
  readonly pouredOnTop: number;
}

/** What fixes the shape of unasked heat in the reading. */
export interface RiseShape {
  /** Rise by the heat that is not asked for, degC/s. */
  readonly freeCPerS: number;
  readonly delayS: number;
  readonly narrowShare: number;
  /** Seconds from one level to the next. */
  readonly beatS: number;
}

/** Levels looked at, and the oldest moment tried, beats. */
const LOOK = 24;
const OLDEST = 18;
/** The delay may be off by so much. */
const DELAY_FACTORS = [0.8, 1, 1.25] as const;
/** Hot water spreads within these times, s, and lifts the bath by at most this, degC. */
const SETTLE_S = [8, 20, 40] as const;
const POURED_C = 2.5;

/** Rise by a step of one degree a second `t` seconds ago, seen through the delay: one plain lag, and four in a row. */
function delayed(t: number, delayS: number, narrowShare: number): number {
  const broad = t - delayS * (1 - Math.exp(-t / delayS));
  const quick = delayS / 4;
  const u = t / quick;
  const narrow = t - delayS + quick * Math.exp(-u) * (4 + 3 * u + u * u + (u * u * u) / 6);
  return broad + narrowShare * (narrow - broad);
}

/** Sums of a series that a straight line can be taken out of: what food or loss beyond the model does to a level. */
interface Sums {
  readonly sum: number;
  readonly tilt: number;
}

const sumsOf = (n: number, at: (i: number) => number): Sums => {
  let sum = 0;
  let tilt = 0;
  for (let i = 0; i < n; i++) {
    sum += at(i);
    tilt += (i - (n - 1) / 2) * at(i);
  }
  return { sum, tilt };
};

/** Sum of the products of two series, each less its straight line. */
function crossed(n: number, a: Sums, b: Sums, product: (i: number) => number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += product(i);
  return sum - (a.sum * b.sum) / n - (12 * a.tilt * b.tilt) / (n * (n * n - 1));
}

/** What is left of the squares of `y` once `size` of a shape is taken out; the best size in nought to `most`. */
function left(
  y: readonly number[],
  ySums: Sums,
  whole: number,
  shape: readonly number[],
  at: number,
  least: number,
  most: number,
): number {
  const n = y.length;
  const x = (i: number) => (i >= at ? shape[i - at]! : 0);
  const sums = sumsOf(n, x);
  const xx = crossed(n, sums, sums, (i) => x(i) * x(i));
  if (xx <= 1e-12) return whole;
  const xy = crossed(n, sums, ySums, (i) => x(i) * y[i]!);
  const size = Math.min(most, Math.max(least, xy / xx));
  return Math.max(0, whole - 2 * size * xy + size * size * xx);
}

/** Sum of squares about the mean. */
function variation(y: readonly number[], sums: Sums): number {
  let squares = 0;
  for (const level of y) squares += level * level;
  return Math.max(0, squares - (sums.sum * sums.sum) / y.length);
}

/** The same with the whole of a shape taken out, and no straight line. */
function leftPlain(y: readonly number[], shape: readonly number[], at: number): number {
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < y.length; i++) {
    const off = i >= at ? y[i]! - shape[i - at]! : y[i]!;
    sum += off;
    squares += off * off;
  }
  return Math.max(0, squares - (sum * sum) / y.length);
}

/** Fits both stories to the last levels, degC; `sdC` is the noise of one. */
export function fitRise(levels: readonly number[], shape: RiseShape, sdC: number): RiseStories {
  const y = levels.slice(-LOOK);
  const n = y.length;
  const ySums = sumsOf(n, (i) => y[i]!);
  const none = crossed(n, ySums, ySums, (i) => y[i]! * y[i]!);
  const oldest = Math.min(OLDEST, n - 1);
  const plain = variation(y, ySums);
  let unasked = plain;
  let onTop = none;
  let poured = none;
  for (const factor of DELAY_FACTORS) {
    const { freeCPerS, delayS, narrowShare, beatS } = shape;
    const ramp = y.map((_, i) => freeCPerS * delayed(i * beatS, delayS * factor, narrowShare));
    for (let back = 1; back <= oldest; back++) {
      const at = n - 1 - back;
      onTop = Math.min(onTop, left(y, ySums, none, ramp, at, 1, 1));
      unasked = Math.min(unasked, leftPlain(y, ramp, at));
    }
  }
  for (const settleS of SETTLE_S) {
    const step = y.map((_, i) => 1 - Math.exp((-i * shape.beatS) / settleS));
    for (let back = 1; back <= oldest; back++)
      poured = Math.min(poured, left(y, ySums, none, step, n - 1 - back, 0, POURED_C));
  }
  const unit = 2 * sdC * sdC;
  return {
    unasked: (plain - unasked) / unit,
    unaskedOnTop: (none - onTop) / unit,
    pouredOnTop: (none - poured) / unit,
  };
}

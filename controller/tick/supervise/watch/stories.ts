/**
 * Stories of a level that falls, good enough to raise a suspicion: from some moment on no heat arrives at all, or from
 * some moment on more is lost, evenly. Both are fitted by least squares over every possible moment, and so is the story
 * that nothing happened; what is compared is how far each leaves the measured levels (half sums of squares in units of
 * their noise, that is, log-likelihoods of normal noise). A trial (`trial.ts`) decides.
 */
export interface Stories {
  /** How much better than "nothing happened": no heat arrives; more is lost. */
  readonly noHeat: number;
  readonly moreLoss: number;
}

/** Candidate moments lie this many beats apart. */
const STRIDE = 2;
/** A story needs this many beats after its moment. */
const LEAST = 6;

/** Sum of squares about the mean. */
function variation(levels: readonly number[]): number {
  let sum = 0;
  let squares = 0;
  for (const level of levels) {
    sum += level;
    squares += level * level;
  }
  return Math.max(0, squares - (sum * sum) / levels.length);
}

/** What is left of it once so much of `shape` is taken out as fits best, between `least` and `most` of it. */
function leftOf(
  levels: readonly number[],
  shape: (i: number) => number,
  least: number,
  most: number,
): number {
  const n = levels.length;
  let sumX = 0;
  let sumY = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = 0; i < n; i++) {
    const x = shape(i);
    const y = levels[i]!;
    sumX += x;
    sumY += y;
    xx += x * x;
    xy += x * y;
    yy += y * y;
  }
  const square = xx - (sumX * sumX) / n;
  const cross = xy - (sumX * sumY) / n;
  const whole = Math.max(0, yy - (sumY * sumY) / n);
  if (square <= 1e-12) return whole;
  const size = Math.min(most, Math.max(least, cross / square));
  return Math.max(0, whole - 2 * size * cross + size * size * square);
}

/**
 * Fits the stories. `levels` and `heats` in degC per beat, of equal length; `sdC` the noise of a level; `heatSpread`
 * by what share the heat that was reckoned with may be off.
 */
export function fitStories(
  levels: readonly number[],
  heats: readonly number[],
  sdC: number,
  heatSpread: number,
): Stories {
  const n = levels.length;
  const none = variation(levels);
  let noHeat = none;
  let moreLoss = none;
  for (let at = 0; at < n - LEAST; at += STRIDE) {
    const missing = (i: number) => (i > at ? heats[at]! - heats[i]! : 0);
    noHeat = Math.min(noHeat, leftOf(levels, missing, 1 - heatSpread, 1 + heatSpread));
    moreLoss = Math.min(
      moreLoss,
      leftOf(levels, (i) => Math.min(0, at - i), 0, Number.MAX_VALUE),
    );
  }
  const unit = 2 * sdC * sdC;
  return { noHeat: (none - noHeat) / unit, moreLoss: (none - moreLoss) / unit };
}

/**
 * How much better than "nothing happened" it is that heat flows whenever only the guard is closed. `standbyC` is the
 * rise that full heat would make then, summed up beat by beat and already late by the delay of the heat.
 */
export function fitWeld(levels: readonly number[], standbyC: readonly number[], sdC: number): number {
  const n = levels.length;
  if (standbyC[n - 1]! - standbyC[0]! < 0.05) return 0;
  const none = variation(levels);
  const welded = leftOf(levels, (i) => standbyC[i]!, 1, 1);
  return (none - welded) / (2 * sdC * sdC);
}

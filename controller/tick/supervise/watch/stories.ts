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

/** Sum of squares about the mean of the levels with the heat since `at` given back; null: none given back. */
function spreadOf(levels: readonly number[], heats: readonly number[] | null, at: number): number {
  let sum = 0;
  let squares = 0;
  const n = levels.length;
  for (let i = 0; i < n; i++) {
    const level = heats !== null && i > at ? levels[i]! + heats[i]! - heats[at]! : levels[i]!;
    sum += level;
    squares += level * level;
  }
  return Math.max(0, squares - (sum * sum) / n);
}

/** Sum of squares about a level that is even up to `at` and falls in a straight line from there. */
function bentLine(levels: readonly number[], at: number): number {
  const n = levels.length;
  let sumX = 0;
  let sumY = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = 0; i < n; i++) {
    const x = i > at ? i - at : 0;
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
  return square <= 0 || cross >= 0 ? whole : Math.max(0, whole - (cross * cross) / square);
}

/** Fits the stories. `levels` and `heats` in degC per beat, of equal length; `sdC` the noise of a level. */
export function fitStories(levels: readonly number[], heats: readonly number[], sdC: number): Stories {
  const n = levels.length;
  const none = spreadOf(levels, null, 0);
  let noHeat = none;
  let moreLoss = none;
  for (let at = 0; at < n - LEAST; at += STRIDE) {
    noHeat = Math.min(noHeat, spreadOf(levels, heats, at));
    moreLoss = Math.min(moreLoss, bentLine(levels, at));
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
  const none = spreadOf(levels, null, 0);
  const welded = spreadOf(
    levels,
    standbyC.map((sum) => -sum),
    0,
  );
  return (none - welded) / (2 * sdC * sdC);
}

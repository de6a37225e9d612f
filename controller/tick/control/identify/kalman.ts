/** A Kalman filter with one measured quantity, the first of its state. Mean and covariance are plain arrays. */
export interface Belief {
  readonly mean: readonly number[];
  /** Covariance, row by row. */
  readonly cov: readonly number[];
}

/** A belief of independent quantities. */
export function startBelief(mean: readonly number[], sd: readonly number[]): Belief {
  const n = mean.length;
  const cov = new Array<number>(n * n).fill(0);
  sd.forEach((value, i) => {
    cov[i * n + i] = value * value;
  });
  return { mean, cov };
}

/**
 * One step of time in which the first quantity moves by `move`, with the change `row[j]` per unit of quantity j
 * (row[0] is how it follows itself), and the last one keeps only the share `keep` of itself (a wander about nought).
 * `noise` is the variance each quantity gains.
 */
export function predict(
  belief: Belief,
  move: number,
  row: readonly number[],
  keep: number,
  noise: readonly number[],
): Belief {
  const n = belief.mean.length;
  const mean = belief.mean.slice();
  const cov = belief.cov.slice();
  mean[0] = mean[0]! + move;
  for (let j = 1; j < n; j++) {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += row[k]! * belief.cov[k * n + j]!;
    cov[j] = sum;
    cov[j * n] = sum;
  }
  let own = 0;
  for (let k = 0; k < n; k++) {
    let sum = 0;
    for (let l = 0; l < n; l++) sum += belief.cov[k * n + l]! * row[l]!;
    own += row[k]! * sum;
  }
  cov[0] = own;
  const last = n - 1;
  mean[last] = mean[last]! * keep;
  for (let j = 0; j < n; j++) {
    cov[j * n + last] = cov[j * n + last]! * keep;
    cov[last * n + j] = cov[last * n + j]! * keep;
  }
  for (let j = 0; j < n; j++) cov[j * n + j] = cov[j * n + j]! + noise[j]!;
  return { mean, cov };
}

/** What a measurement of the first quantity says against what was expected, before it is taken in. */
export function surprise(belief: Belief, measured: number, variance: number): { by: number; sd: number } {
  return { by: measured - belief.mean[0]!, sd: Math.sqrt(belief.cov[0]! + variance) };
}

/** Takes in a measurement of the first quantity. */
export function correct(belief: Belief, measured: number, variance: number): Belief {
  const n = belief.mean.length;
  const by = measured - belief.mean[0]!;
  const total = belief.cov[0]! + variance;
  const gain = new Array<number>(n);
  for (let j = 0; j < n; j++) gain[j] = belief.cov[j * n]! / total;
  const mean = belief.mean.map((value, j) => value + gain[j]! * by);
  const cov = belief.cov.slice();
  for (let j = 0; j < n; j++)
    for (let k = 0; k < n; k++) cov[j * n + k] = cov[j * n + k]! - gain[j]! * belief.cov[k]!;
  return { mean, cov };
}

/** Puts the first quantity at a measurement and forgets how it hung together with the others. */
export function anchor(belief: Belief, measured: number, variance: number): Belief {
  const n = belief.mean.length;
  const mean = belief.mean.slice();
  mean[0] = measured;
  const cov = belief.cov.slice();
  for (let j = 0; j < n; j++) {
    cov[j] = 0;
    cov[j * n] = 0;
  }
  cov[0] = variance;
  return { mean, cov };
}

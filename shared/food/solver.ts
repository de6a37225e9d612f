import type { Grid } from './grid.ts';

/**
 * Two-stage, second-order, L-stable implicit Runge-Kutta (SDIRK2: Alexander 1977, gamma = 1 - 1/sqrt 2).
 * Both stages share one tridiagonal matrix, the second stage is stiffly accurate, and with a bath linear
 * in time a body that follows a ramp steadily is carried without error at any step.
 */
const gamma = 1 - Math.SQRT1_2;

/** Substeps at each size before the size doubles: late substeps stay under about 1/16 of the time elapsed. */
const perRung = 16;
/** First substep as a fraction of R2/alpha: small enough for the transient that a jump starts. */
const firstFraction = 0.002;
/** Different step lengths whose matrix is kept; a log with jittered rows stays bounded. */
const keptFactors = 64;

interface Factors {
  readonly step: number;
  readonly inverse: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

/** What a grid's matrix comes to; rebuilt from the grid alone whenever it is missing, so it is no state. */
interface Workspace {
  readonly n: number;
  readonly inward: Float64Array;
  readonly outward: Float64Array;
  readonly longestFirst: number;
  readonly factors: Map<number, Factors>;
  recent: Factors | undefined;
  readonly now: Float64Array;
  readonly stage: Float64Array;
}

const workspaces = new WeakMap<Grid, Workspace>();

function workspaceOf(grid: Grid): Workspace {
  let space = workspaces.get(grid);
  if (space === undefined) {
    const n = grid.shares.length;
    space = {
      n,
      inward: Float64Array.from(grid.inward),
      outward: Float64Array.from(grid.outward),
      longestFirst: (firstFraction * grid.radiusM * grid.radiusM) / grid.diffusivity,
      factors: new Map(),
      recent: undefined,
      now: new Float64Array(n),
      stage: new Float64Array(n),
    };
    workspaces.set(grid, space);
  }
  return space;
}

/** Eliminates from the core outward, so that only the last pivot depends on the film and is left to the step. */
function factorsOf(space: Workspace, step: number): Factors {
  if (space.recent?.step === step) return space.recent;
  let found = space.factors.get(step);
  if (found === undefined) {
    if (space.factors.size >= keptFactors) space.factors.clear();
    const { n, inward, outward } = space;
    const g = gamma * step;
    const inverse = new Float64Array(n);
    const lower = new Float64Array(n);
    const upper = new Float64Array(n);
    let carried = 0;
    for (let i = 0; i < n; i++) {
      const toCore = g * inward[i]!;
      const toSurface = g * outward[i]!;
      // The last pivot lacks the film; `advance` adds it.
      const pivot = 1 + toCore + toSurface - toCore * carried;
      inverse[i] = 1 / pivot;
      lower[i] = toCore / pivot;
      upper[i] = toSurface / pivot;
      carried = toSurface / pivot;
    }
    found = { step, inverse, lower, upper };
    space.factors.set(step, found);
  }
  space.recent = found;
  return found;
}

/** One implicit substep in place on `space.now`; `mid` and `end` are the water at gamma and at 1 of the substep. */
function advance(space: Workspace, factors: Factors, filmPerSecond: number, mid: number, end: number): void {
  const { now, stage, n } = space;
  const { inverse, lower, upper } = factors;
  const last = n - 1;
  const filmWeight = gamma * factors.step * filmPerSecond;
  const lastLower = lower[last]! / inverse[last]!;
  const lastInverse = 1 / (1 / inverse[last]! + filmWeight);

  let swept = now[0]! * inverse[0]!;
  stage[0] = swept;
  for (let i = 1; i < last; i++) {
    swept = now[i]! * inverse[i]! + lower[i]! * swept;
    stage[i] = swept;
  }
  let solved = (now[last]! + filmWeight * mid + lastLower * swept) * lastInverse;
  stage[last] = solved;
  for (let i = last - 1; i >= 0; i--) {
    solved = stage[i]! + upper[i]! * solved;
    stage[i] = solved;
  }

  const ahead = 1 + Math.SQRT2;
  swept = (ahead * stage[0]! - Math.SQRT2 * now[0]!) * inverse[0]!;
  now[0] = swept;
  for (let i = 1; i < last; i++) {
    swept = (ahead * stage[i]! - Math.SQRT2 * now[i]!) * inverse[i]! + lower[i]! * swept;
    now[i] = swept;
  }
  solved =
    (ahead * stage[last]! - Math.SQRT2 * now[last]! + filmWeight * end + lastLower * swept) * lastInverse;
  now[last] = solved;
  for (let i = last - 1; i >= 0; i--) {
    solved = now[i]! + upper[i]! * solved;
    now[i] = solved;
  }
}

/**
 * Moves `from` through `seconds` of water that goes linearly from `fromC` to `toC`, into `into` (which may
 * be `from` itself). Short steps are cut evenly; long ones start short and double, since what a kink in the
 * water stirs up is fast only near its start.
 */
export function integrate(
  grid: Grid,
  from: ArrayLike<number>,
  into: number[],
  film: number,
  fromC: number,
  toC: number,
  seconds: number,
): void {
  const space = workspaceOf(grid);
  const { now, n, longestFirst } = space;
  for (let i = 0; i < n; i++) now[i] = from[i]!;
  const filmPerSecond = film * grid.filmRate;
  const slope = seconds > 0 ? (toC - fromC) / seconds : 0;

  let perSize = Math.ceil(seconds / longestFirst);
  let rungs = 1;
  if (perSize > perRung) {
    perSize = perRung;
    while (perRung * (2 ** rungs - 1) * longestFirst < seconds) rungs++;
  }
  let step = seconds / (perSize * (2 ** rungs - 1));
  let elapsed = 0;
  for (let rung = 0; rung < rungs; rung++) {
    const factors = factorsOf(space, step);
    for (let k = 0; k < perSize; k++) {
      const start = elapsed + k * step;
      advance(
        space,
        factors,
        filmPerSecond,
        fromC + slope * (start + gamma * step),
        fromC + slope * (start + step),
      );
    }
    elapsed += perSize * step;
    step *= 2;
  }
  for (let i = 0; i < n; i++) into[i] = now[i]!;
}

import type { Grid } from './grid.ts';

/**
 * Two-stage, second-order, L-stable implicit Runge-Kutta (SDIRK2: Alexander 1977, gamma = 1 - 1/sqrt 2).
 * Both stages share one tridiagonal matrix, the second stage is stiffly accurate, and a body that steadily
 * follows a ramp is carried without error at any step.
 */
const gamma = 1 - Math.SQRT1_2;

/** Substeps at each size before the size doubles: late substeps stay near 1/16 of the time elapsed. */
const perRung = 16;
/** Longest first substep, as a fraction of R2/alpha: short enough for what a jump of the water stirs up. */
const firstFraction = 0.002;
/** A thin body this close to the water, and the water to where it goes, follows it in a straight line, as near as makes no odds, K. */
export const CALM_C = 0.4;
/** A body with a shorter R2/alpha (meat under some 5 mm) is thin: it is nearly always close to the water, s. */
const thinS = 50;
/**
 * The same for a thin body, by how far it and the end of the step lie from the water at its start, K: the error goes with
 * that distance, and is 0.012 of it at most at two fifths of R2/alpha, 0.002 at a tenth. So it stays under 0.005 K.
 */
const thinFractions: readonly (readonly [unrestC: number, fraction: number])[] = [
  [CALM_C, 0.4],
  [2, 0.1],
];
/** Step lengths whose matrix is kept: a long step's ladder fits, and a log with jittered rows stays bounded. */
const keptFactors = 32;

/** M + gamma step K, eliminated from the core outward; M is divided by the pivots alike. */
interface Factors {
  step: number;
  readonly fromInner: Float64Array;
  readonly fromOuter: Float64Array;
  readonly inner: Float64Array;
  readonly own: Float64Array;
  readonly outer: Float64Array;
  lastPivot: number;
}

/** What a grid's matrices come to. Rebuilt from the grid alone whenever it is missing, so it is no state. */
interface Workspace {
  readonly n: number;
  /** R2/alpha, s. */
  readonly timeScale: number;
  readonly massInner: Float64Array;
  readonly massOwn: Float64Array;
  readonly massOuter: Float64Array;
  readonly links: Float64Array;
  readonly kept: Factors[];
  /** Slot that the next new step length takes over, once all are in use. */
  oldest: number;
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
      timeScale: (grid.radiusM * grid.radiusM) / grid.diffusivity,
      massInner: Float64Array.from(grid.massInner),
      massOwn: Float64Array.from(grid.massOwn),
      massOuter: Float64Array.from(grid.massOuter),
      // No exchange beyond the surface node: the film's is added at each step.
      links: Float64Array.from([...grid.links, 0]),
      kept: [],
      oldest: 0,
      recent: undefined,
      now: new Float64Array(n),
      stage: new Float64Array(n),
    };
    workspaces.set(grid, space);
  }
  return space;
}

/** Refills a slot for a step length, without allocating. */
function eliminate(space: Workspace, f: Factors, step: number): void {
  const { n, massInner, massOwn, massOuter, links } = space;
  const g = gamma * step;
  let before = 0;
  let carried = 0;
  let pivot = 1;
  for (let i = 0; i < n; i++) {
    const after = g * links[i]!;
    const lower = before - massInner[i]!;
    // The last pivot lacks the film, which may differ at every step.
    pivot = massOwn[i]! + before + after - lower * carried;
    const inverse = 1 / pivot;
    carried = (after - massOuter[i]!) * inverse;
    f.fromInner[i] = lower * inverse;
    f.fromOuter[i] = carried;
    f.inner[i] = massInner[i]! * inverse;
    f.own[i] = massOwn[i]! * inverse;
    f.outer[i] = massOuter[i]! * inverse;
    before = after;
  }
  f.step = step;
  f.lastPivot = pivot;
}

function factorsOf(space: Workspace, step: number): Factors {
  if (space.recent?.step === step) return space.recent;
  const { kept, n } = space;
  for (const candidate of kept) {
    if (candidate.step === step) {
      space.recent = candidate;
      return candidate;
    }
  }
  let slot = kept[space.oldest];
  if (kept.length < keptFactors || slot === undefined) {
    const row = (): Float64Array => new Float64Array(n);
    slot = { step, lastPivot: 1, fromInner: row(), fromOuter: row(), inner: row(), own: row(), outer: row() };
    kept.push(slot);
  } else space.oldest = (space.oldest + 1) % keptFactors;
  eliminate(space, slot, step);
  space.recent = slot;
  return slot;
}

/**
 * Solves (M + gamma step K) x = M (near a + far b) + film water into `x`, which may be `a` or `b`:
 * one sweep out, one back.
 */
function solve(
  x: Float64Array,
  near: number,
  a: Float64Array,
  far: number,
  b: Float64Array,
  f: Factors,
  filmShare: number,
  waterC: number,
): void {
  const { fromInner, fromOuter, inner, own, outer } = f;
  const last = x.length - 1;
  let before = 0;
  let here = near * a[0]! + far * b[0]!;
  let swept = 0;
  for (let i = 0; i < last; i++) {
    const next = near * a[i + 1]! + far * b[i + 1]!;
    swept = inner[i]! * before + own[i]! * here + outer[i]! * next + fromInner[i]! * swept;
    x[i] = swept;
    before = here;
    here = next;
  }
  const bare = inner[last]! * before + own[last]! * here + fromInner[last]! * swept;
  let solved = (bare * f.lastPivot + filmShare * waterC) / (f.lastPivot + filmShare);
  x[last] = solved;
  for (let i = last - 1; i >= 0; i--) {
    solved = x[i]! + fromOuter[i]! * solved;
    x[i] = solved;
  }
}

/** The longest first substep that keeps a step of `seconds` good, s. */
function longestFirst({ now, timeScale }: Workspace, fromC: number, toC: number, seconds: number): number {
  const usual = firstFraction * timeScale;
  if (timeScale > thinS || seconds <= usual) return usual;
  const unrest = unrestC(now, fromC, toC);
  const found = thinFractions.find(([most]) => unrest <= most);
  return found ? found[1] * timeScale : usual;
}

/** How far a body and the end of a step lie from the water at its start, K. */
export function unrestC(profile: ArrayLike<number>, fromC: number, toC: number): number {
  let unrest = Math.abs(toC - fromC);
  for (let i = 0; i < profile.length; i++) unrest = Math.max(unrest, Math.abs(profile[i]! - fromC));
  return unrest;
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
  const { now, stage, n } = space;
  for (let i = 0; i < n; i++) now[i] = from[i]!;
  const slope = seconds > 0 ? (toC - fromC) / seconds : 0;
  const first = longestFirst(space, fromC, toC, seconds);
  let perSize = Math.ceil(seconds / first);
  let rungs = 1;
  if (perSize > perRung) {
    perSize = perRung;
    while (perRung * (2 ** rungs - 1) * first < seconds) rungs++;
  }
  let step = seconds / (perSize * (2 ** rungs - 1));
  let elapsed = 0;
  for (let rung = 0; rung < rungs; rung++) {
    const factors = factorsOf(space, step);
    const filmShare = gamma * step * film * grid.filmRate;
    for (let k = 0; k < perSize; k++) {
      const start = elapsed + k * step;
      const middleC = fromC + slope * (start + gamma * step);
      solve(stage, 1, now, 0, now, factors, filmShare, middleC);
      solve(now, 1 + Math.SQRT2, stage, -Math.SQRT2, now, factors, filmShare, fromC + slope * (start + step));
    }
    elapsed += perSize * step;
    step *= 2;
  }
  for (let i = 0; i < n; i++) into[i] = now[i]!;
}

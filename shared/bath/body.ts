/**
 * Conduction through the simulated food, with a surrounding of its own on either side.
 *
 * Finite volumes from the underside through the centre to the upper side, flow area |r|^beta (slab 0,
 * cylinder 1, sphere 2), implicit Euler. Deliberately not the solver that estimates cores: this one is the
 * truth that judges it, and has to know what a floating bag does to its upper side.
 * Within 0.1 C of the eigenvalue series at steps of a second (tests/physics/bath-body.test.ts).
 */

/** Cells from centre to one side; the profile has twice as many and one for the centre. */
const HALF_CELLS = 20;
const CELLS = 2 * HALF_CELLS + 1;

/** The centre's place in a profile. */
export const CENTRE = HALF_CELLS;

/** What a body's figures come to: made again from them whenever needed, so it is no state. */
export interface BodyGrid {
  /** place of each node, -1 underside to 1 upper side */
  at: Float64Array;
  /** share of the volume, adding up to 1 */
  share: Float64Array;
  /** rate at which node i follows node i+1, 1/s, and node i+1 follows node i */
  toNext: Float64Array;
  toLast: Float64Array;
  /** rate at which an outer node follows its surroundings, 1/s per W/(m2 K) */
  filmRate: number;
}

export interface BodyFigures {
  thicknessM: number;
  beta: number;
  diffusivity: number;
  conductivity: number;
}

function signedVolume(r: number, beta: number): number {
  return Math.sign(r) * Math.abs(r) ** (beta + 1);
}

/**
 * Cuts a body into cells, finest at its surfaces.
 * @throws RangeError when a figure is outside what food can be
 */
export function makeBody(figures: BodyFigures): BodyGrid {
  const { thicknessM, beta, diffusivity, conductivity } = figures;
  if (!(beta >= 0 && beta <= 2)) throw new RangeError(`beta is ${beta}; expected 0 (slab) to 2 (sphere)`);
  if (!(diffusivity >= 1e-8 && diffusivity <= 1e-5)) {
    throw new RangeError(`diffusivity is ${diffusivity}; expected 1e-8 to 1e-5 m2/s (meat: 1.3e-7)`);
  }
  if (!(conductivity >= 0.01 && conductivity <= 50)) {
    throw new RangeError(`conductivity is ${conductivity}; expected 0.01 to 50 W/(m K) (meat: 0.48)`);
  }
  if (!(thicknessM >= 0.001 && thicknessM <= 0.5)) {
    throw new RangeError(`thicknessM is ${thicknessM}; expected 0.001 to 0.5 m`);
  }
  const at = new Float64Array(CELLS);
  for (let i = 0; i < CELLS; i++) at[i] = Math.sin(((i - HALF_CELLS) / HALF_CELLS) * (Math.PI / 2));
  const share = new Float64Array(CELLS);
  for (let i = 0; i < CELLS; i++) {
    const from = i === 0 ? -1 : (at[i - 1]! + at[i]!) / 2;
    const to = i === CELLS - 1 ? 1 : (at[i]! + at[i + 1]!) / 2;
    share[i] = (signedVolume(to, beta) - signedVolume(from, beta)) / 2;
  }
  const radiusM = thicknessM / 2;
  const rate = ((beta + 1) / 2) * (diffusivity / (radiusM * radiusM));
  const toNext = new Float64Array(CELLS - 1);
  const toLast = new Float64Array(CELLS - 1);
  for (let i = 0; i < CELLS - 1; i++) {
    const area = Math.abs((at[i]! + at[i + 1]!) / 2) ** beta;
    const link = (rate * area) / (at[i + 1]! - at[i]!);
    toNext[i] = link / share[i]!;
    toLast[i] = link / share[i + 1]!;
  }
  return { at, share, toNext, toLast, filmRate: (rate * radiusM) / (conductivity * share[0]!) };
}

/** A body of one temperature throughout. */
export function startBody(celsius: number): number[] {
  return new Array<number>(CELLS).fill(celsius);
}

const upperRow = new Float64Array(CELLS);

/**
 * One implicit step, in place. Bounded by its surroundings at any step; accurate while the step is short
 * beside thickness squared over diffusivity.
 * @param underFilm W/(m2 K) on the underside, to surroundings of `underC`; `overFilm`, `overC` likewise above
 */
export function stepBody(
  grid: BodyGrid,
  profile: number[],
  underFilm: number,
  underC: number,
  overFilm: number,
  overC: number,
  dtS: number,
): void {
  const { toNext, toLast } = grid;
  const last = CELLS - 1;
  const under = grid.filmRate * underFilm * dtS;
  const over = grid.filmRate * overFilm * dtS;
  let outer = toNext[0]! * dtS;
  let pivot = 1 / (1 + under + outer);
  upperRow[0] = outer * pivot;
  profile[0] = (profile[0]! + under * underC) * pivot;
  for (let i = 1; i < last; i++) {
    const inner = toLast[i - 1]! * dtS;
    outer = toNext[i]! * dtS;
    pivot = 1 / (1 + inner * (1 - upperRow[i - 1]!) + outer);
    upperRow[i] = outer * pivot;
    profile[i] = (profile[i]! + inner * profile[i - 1]!) * pivot;
  }
  const inner = toLast[last - 1]! * dtS;
  pivot = 1 / (1 + inner * (1 - upperRow[last - 1]!) + over);
  profile[last] = (profile[last]! + over * overC + inner * profile[last - 1]!) * pivot;
  for (let i = last - 1; i >= 0; i--) profile[i]! += upperRow[i]! * profile[i + 1]!;
}

/** Mean over the volume, C: what the heat content goes by. */
export function bodyMeanC(grid: BodyGrid, profile: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < CELLS; i++) sum += grid.share[i]! * profile[i]!;
  return sum;
}

/** Temperature at a depth: 0 the centre, 1 the underside. */
export function bodyAtDepth(grid: BodyGrid, profile: readonly number[], depth: number): number {
  let i = CENTRE;
  while (i > 1 && -grid.at[i - 1]! < depth) i--;
  const inner = -grid.at[i]!;
  const part = (depth - inner) / (-grid.at[i - 1]! - inner);
  return profile[i]! + (profile[i - 1]! - profile[i]!) * Math.min(1, Math.max(0, part));
}

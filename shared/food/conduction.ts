import type { Grid } from './grid.ts';
import { integrate } from './solver.ts';

export type { Body, Grid } from './grid.ts';
export { makeGrid } from './grid.ts';

/** The water against the bag's surface through one step. */
export interface Surface {
  /** Film coefficient between water and food, W/(m2 K); see film.ts. 0 means no exchange. */
  film: number;
  /** Water at the start of the step, C. */
  fromC: number;
  /** Water at the end of the step, C; linear between. */
  toC: number;
}

/** Coldest start the model takes: below it latent heat of thawing counts, which it does not have. */
export const coldestStartC = -1;

function requireProfile(grid: Grid, profile: ArrayLike<number>): void {
  if (profile.length === grid.shares.length) return;
  throw new RangeError(
    `the profile has ${profile.length} points, the grid ${grid.shares.length}. Make the profile with startProfile on the same grid.`,
  );
}

function requireStep(film: number, fromC: number, toC: number, seconds: number): void {
  if (film >= 0 && film < 1e6 && seconds >= 0 && seconds < 1e9 && Number.isFinite(fromC + toC)) return;
  throw new RangeError(
    `cannot step by ${seconds} s with a film of ${film} W/(m2 K) and water from ${fromC} to ${toC} C: ` +
      'expected seconds of 0 or more, a film from 0 to 1e6 and finite temperatures. ' +
      'Give the last valid reading for a missing one, and order the rows by time.',
  );
}

/**
 * The profile of food that has the same temperature throughout.
 * @returns temperatures in C, [0] the core, the last the surface.
 * @throws RangeError for food colder than -1 C (frozen) or hotter than 120 C.
 */
export function startProfile(grid: Grid, celsius: number): number[] {
  if (!(celsius >= coldestStartC)) {
    throw new RangeError(
      `the food starts at ${celsius} C; expected ${coldestStartC} C or more. Thaw it first: frozen food takes up latent heat that this model does not have, and would be credited too early.`,
    );
  }
  if (!(celsius <= 120)) {
    throw new RangeError(
      `the food starts at ${celsius} C; expected at most 120 C. Check the unit (C, not F).`,
    );
  }
  return new Array<number>(grid.shares.length).fill(celsius);
}

/**
 * Heats or cools the food through one step of water that is linear in time. Implicit; substeps inside keep
 * the error under 0.02 C for any step from fractions of a second to hours.
 * @returns a new profile in C; the one given is untouched.
 * @throws RangeError on a negative or non-finite argument, or a profile of another grid.
 */
export function stepProfile(
  grid: Grid,
  profile: readonly number[],
  surface: Surface,
  seconds: number,
): number[] {
  const into = profile.slice();
  stepProfileInto(grid, profile, into, surface.film, surface.fromC, surface.toC, seconds);
  return into;
}

/** As stepProfile, writing into an array the caller owns (`into` may be `from`), for loops that must not allocate. */
export function stepProfileInto(
  grid: Grid,
  from: readonly number[],
  into: number[],
  film: number,
  fromC: number,
  toC: number,
  seconds: number,
): void {
  requireProfile(grid, from);
  requireStep(film, fromC, toC, seconds);
  integrate(grid, from, into, film, fromC, toC, seconds);
}

/** A log of the water: row i holds from row i-1 to row i, linear between. */
export interface WaterLog {
  /** Seconds of each row, never falling. */
  readonly seconds: ArrayLike<number>;
  /** Water at each row, C. */
  readonly waterC: ArrayLike<number>;
  /** Film coefficient, W/(m2 K): one for all, or one a row that holds for the step ending at that row. */
  readonly film: number | ArrayLike<number>;
}

/**
 * Carries a profile through a whole log without allocating a row at a time.
 * @param onRow called after each row, the first included, with its index and the live profile (copy it to keep it).
 * @returns the profile at the last row.
 * @throws RangeError where times fall or a value is not finite; the message names the row.
 */
export function runProfile(
  grid: Grid,
  start: readonly number[],
  log: WaterLog,
  onRow?: (row: number, profile: readonly number[]) => void,
): number[] {
  requireProfile(grid, start);
  const { seconds, waterC, film } = log;
  const profile = start.slice();
  const rows = seconds.length;
  if (rows > 0) onRow?.(0, profile);
  for (let row = 1; row < rows; row++) {
    const step = seconds[row]! - seconds[row - 1]!;
    const coefficient = typeof film === 'number' ? film : film[row]!;
    try {
      requireStep(coefficient, waterC[row - 1]!, waterC[row]!, step);
    } catch (cause) {
      throw new RangeError(`row ${row}: ${(cause as Error).message}`, { cause });
    }
    integrate(grid, profile, profile, coefficient, waterC[row - 1]!, waterC[row]!, step);
    onRow?.(row, profile);
  }
  return profile;
}

/** Temperature at the core, C. */
export function coreC(profile: readonly number[]): number {
  return profile[0]!;
}

/** Temperature at the surface of the food (under the film), C. */
export function surfaceC(profile: readonly number[]): number {
  return profile[profile.length - 1]!;
}

/** Mean temperature over the body's volume, C: what its heat content goes by. */
export function meanC(grid: Grid, profile: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < profile.length; i++) sum += grid.shares[i]! * profile[i]!;
  return sum;
}

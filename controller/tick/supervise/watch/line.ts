/** Straight lines through evenly spaced levels: by least squares, in units of a level per step. */

/** A line's slope and the level at its middle. */
export interface Line {
  readonly slope: number;
  readonly middle: number;
}

/** Line through `levels[from..to)`. At least two levels are needed; fewer give a slope of nought. */
export function lineThrough(levels: readonly number[], from: number, to: number): Line {
  const n = to - from;
  if (n < 2) return { slope: 0, middle: levels[from] ?? 0 };
  const centre = (n - 1) / 2;
  let sum = 0;
  let cross = 0;
  for (let i = 0; i < n; i++) {
    const level = levels[from + i]!;
    sum += level;
    cross += (i - centre) * level;
  }
  return { slope: (12 * cross) / (n * (n * n - 1)), middle: sum / n };
}

/** Standard error of such a slope for `n` levels, each with a standard deviation of one. */
export function slopeError(n: number): number {
  return Math.sqrt(12 / (n * (n * n - 1)));
}

/** How a level follows a second quantity, beside a steady slope: level = c + slope t + follows x. */
export interface Following {
  readonly follows: number;
  /** Standard error of it for levels with a standard deviation of one; infinite where x is a straight line itself. */
  readonly error: number;
  /** What the fit leaves of each level (root mean square). */
  readonly leaves: number;
}

/** Least squares of `levels` on time and `others` together, both over `[from..to)`. */
export function followingOf(
  levels: readonly number[],
  others: readonly number[],
  from: number,
  to: number,
): Following {
  const level = lineThrough(levels, from, to);
  const other = lineThrough(others, from, to);
  const centre = (to - from - 1) / 2;
  let square = 0;
  let cross = 0;
  let own = 0;
  for (let i = from; i < to; i++) {
    const at = i - from - centre;
    const x = others[i]! - other.middle - other.slope * at;
    const y = levels[i]! - level.middle - level.slope * at;
    square += x * x;
    cross += x * y;
    own += y * y;
  }
  if (square < 1e-9) return { follows: 0, error: Number.POSITIVE_INFINITY, leaves: 0 };
  const follows = cross / square;
  const left = Math.max(0, own - follows * cross);
  return { follows, error: 1 / Math.sqrt(square), leaves: Math.sqrt(left / (to - from)) };
}

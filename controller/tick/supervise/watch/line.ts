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
  /** Sum of the squares that the fit leaves of the levels, and that it would leave did they not follow at all. */
  readonly left: number;
  readonly unfollowed: number;
}

/** A series over `[from..to)` less its straight line. */
function detrended(series: readonly number[], from: number, to: number): number[] {
  const { slope, middle } = lineThrough(series, from, to);
  const centre = (to - from - 1) / 2;
  return series.slice(from, to).map((value, i) => value - middle - slope * (i - centre));
}

function product(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** Bends are tried so many beats from either end at the nearest: nearer, they are one level's noise. */
const END = 2;

/**
 * Least squares of `levels` on time and `others` together over `[from..to)`: first along a straight line, then along
 * one that bends once, at each beat in turn. A lid that was lifted or put back meanwhile bends a level so.
 */
export function followingsOf(
  levels: readonly number[],
  others: readonly number[],
  from: number,
  to: number,
): Following[] {
  const x = detrended(others, from, to);
  const y = detrended(levels, from, to);
  const xx = product(x, x);
  const xy = product(x, y);
  const yy = product(y, y);
  if (xx < 1e-9) return [{ follows: 0, error: Number.POSITIVE_INFINITY, left: yy, unfollowed: yy }];
  const left = Math.max(0, yy - (xy * xy) / xx);
  const fits = [{ follows: xy / xx, error: 1 / Math.sqrt(xx), left, unfollowed: yy }];
  const n = to - from;
  for (let at = END; at < n - END; at++) {
    const bend = detrended(
      x.map((_, i) => Math.max(0, i - at)),
      0,
      n,
    );
    const bb = product(bend, bend);
    const by = product(bend, y);
    const bx = product(bend, x);
    // What is left of x and of the level once the bend has taken its part of both.
    const own = xx - (bx * bx) / bb;
    if (own < 1e-9) continue;
    const follows = (xy - (bx * by) / bb) / own;
    const unfollowed = Math.max(0, yy - (by * by) / bb);
    const bent = Math.max(0, unfollowed - follows * follows * own);
    fits.push({ follows, error: 1 / Math.sqrt(own), left: bent, unfollowed });
  }
  return fits;
}

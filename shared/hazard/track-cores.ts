/** Order of the cases of a track. */
export const SLOW = 0;
export const MIDDLE = 1;
export const FAST = 2;

/** What lies between neighbouring cases was not run: this share of their distance is added either way. */
const BETWEEN_SHARE = 0.04;

/** The coldest and hottest that a core may be, C. */
export interface CoreSpan {
  readonly lowC: number;
  readonly highC: number;
}

/**
 * The coldest and hottest core between the three cases: theirs, or the turn of the parabola through them where it
 * turns in between (as after an outage that reached the fast case and not yet the slow), a little widened.
 * The probe's error is not in it.
 */
export function spanOf(cores: readonly number[]): CoreSpan {
  const [a, b, c] = [cores[SLOW]!, cores[MIDDLE]!, cores[FAST]!];
  let low = Math.min(a, b, c);
  let high = Math.max(a, b, c);
  const more = BETWEEN_SHARE * (high - low);
  const turn = turnOf(a, b, c);
  if (turn !== null) {
    low = Math.min(low, turn);
    high = Math.max(high, turn);
  }
  return { lowC: low - more, highC: high + more };
}

/** The extreme value of the parabola through three values at equal distances; null where it lies outside them. */
export function turnOf(a: number, b: number, c: number): number | null {
  const bend = a - 2 * b + c;
  if (Math.abs(a - c) >= 2 * Math.abs(bend)) return null;
  return b - (a - c) ** 2 / (8 * bend);
}

/** A core that growth is followed along: shares of the three cases, and the sign of the probe's error. */
export interface GrowthPath {
  readonly shares: readonly [slow: number, middle: number, fast: number];
  readonly sign: -1 | 0 | 1;
}

/**
 * Slow and fast with the probe's error either way, the middle, and halfway between neighbours: at a moment when the
 * fast case is past the growth range and the slow one not yet in it, most may have grown in between.
 */
export const GROWTH_PATHS: readonly GrowthPath[] = [
  { shares: [1, 0, 0], sign: -1 },
  { shares: [1, 0, 0], sign: 1 },
  { shares: [0.5, 0.5, 0], sign: 0 },
  { shares: [0, 1, 0], sign: 0 },
  { shares: [0, 0.5, 0.5], sign: 0 },
  { shares: [0, 0, 1], sign: -1 },
  { shares: [0, 0, 1], sign: 1 },
];

/** The core of a growth path, C. */
export function coreOf(path: GrowthPath, cores: readonly number[], probeErrorC: number): number {
  const [s, m, f] = path.shares;
  return s * cores[SLOW]! + m * cores[MIDDLE]! + f * cores[FAST]! + path.sign * probeErrorC;
}

/** Growth between the paths was not run: the worst is this many times the largest that was. */
const BETWEEN_GROWTH = 1.1;

/** The most that may have grown, from the growth along each path in the order of `GROWTH_PATHS`, log10. */
export function mostGrown(log10: readonly number[]): number {
  const g = (i: number) => log10[i]!;
  const ordered = [Math.max(g(0), g(1)), g(2), g(3), g(4), Math.max(g(5), g(6))];
  let most = Math.max(...ordered);
  for (let i = 0; i + 2 < ordered.length; i++) {
    most = Math.max(most, turnOf(ordered[i]!, ordered[i + 1]!, ordered[i + 2]!) ?? 0);
  }
  return BETWEEN_GROWTH * most;
}

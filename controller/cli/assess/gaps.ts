/** A stretch in which nothing was measured, seconds from the first row. */
export interface Gap {
  readonly fromS: number;
  readonly toS: number;
}

/** A spacing is a gap when it is more than this many times what is usual around it, and longer than `SHORTEST_S`. */
export const GAP_TIMES = 5;
export const SHORTEST_GAP_S = 30;
/** Longer than this is a gap however usual: a power cut and a cold bath could hide in it. */
export const LONGEST_UNSEEN_S = 5400;
/** How many spacings either way are looked at. */
const AROUND = 20;

/** What counts as a gap, for people. */
export const GAP_RULE = `A gap is a spacing of rows over ${SHORTEST_GAP_S} s and over ${GAP_TIMES} times what is usual among the ${2 * AROUND} spacings around it, or over ${LONGEST_UNSEEN_S / 60} min.`;

/**
 * Which spacings of a log are gaps, by the log's own spacing around them: a logger that slows down has none, nor has
 * one that writes at uneven times.
 * @param seconds times in order, each later than the one before.
 * @returns for each row whether nothing was measured between the row before and it.
 */
export function gapsOf(seconds: ArrayLike<number>): boolean[] {
  const spacings = Array.from(
    { length: Math.max(0, seconds.length - 1) },
    (_, i) => seconds[i + 1]! - seconds[i]!,
  );
  const gaps = spacings.map(
    (spacing, i) =>
      spacing > LONGEST_UNSEEN_S ||
      (spacing > SHORTEST_GAP_S && spacing > GAP_TIMES * usualAround(spacings, i)),
  );
  return [false, ...gaps].slice(0, seconds.length);
}

/** The spacing that six of seven around do not exceed, so that uneven writing is no gap; of a short log, the middle one. */
function usualAround(spacings: readonly number[], at: number): number {
  const near = [...spacings.slice(Math.max(0, at - AROUND), at), ...spacings.slice(at + 1, at + 1 + AROUND)];
  if (near.length === 0) return Number.POSITIVE_INFINITY;
  near.sort((a, b) => b - a);
  return near[Math.floor(near.length * (near.length < 7 ? 0.5 : 0.15))]!;
}

/** The middle one of all spacings, s; 0 for a single row. */
export function usualSpacing(seconds: ArrayLike<number>): number {
  const spacings = Array.from(
    { length: Math.max(0, seconds.length - 1) },
    (_, i) => seconds[i + 1]! - seconds[i]!,
  );
  spacings.sort((a, b) => a - b);
  return spacings[Math.floor(spacings.length / 2)] ?? 0;
}

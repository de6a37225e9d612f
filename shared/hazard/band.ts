/** A quantity that goes in a straight line over a step. */
export interface Line {
  readonly from: number;
  readonly to: number;
}

const finite = (line: Line) => Number.isFinite(line.from) && Number.isFinite(line.to);

/**
 * Seconds of a step in which a temperature known only to lie between two straight lines may be in [lowC, highC):
 * the upper line is at or above lowC while the lower is under highC. With both lines the same it is the time of that
 * temperature in the band, exact at any spacing. A line that is not a number counts whole.
 */
export function secondsInBand(
  lower: Line,
  upper: Line,
  seconds: number,
  lowC: number,
  highC: number,
): number {
  if (!finite(lower) || !finite(upper)) return seconds;
  if (lower.from < highC && lower.to < highC && upper.from >= lowC && upper.to >= lowC) return seconds;
  const under = shareUnder(lower, highC, false);
  const over = shareUnder({ from: -upper.from, to: -upper.to }, -lowC, true);
  return seconds * Math.max(0, Math.min(under.end, over.end) - Math.max(under.start, over.start));
}

/** The part of a step, as shares of it, in which a line is under a limit; `touching`: at the limit counts as under. */
function shareUnder(line: Line, limit: number, touching: boolean): { start: number; end: number } {
  const { from, to } = line;
  const starts = touching ? from <= limit : from < limit;
  const ends = touching ? to <= limit : to < limit;
  if (starts && ends) return { start: 0, end: 1 };
  if (!starts && !ends) return { start: 1, end: 0 };
  const cross = (limit - from) / (to - from);
  return starts ? { start: 0, end: cross } : { start: cross, end: 1 };
}

/** Seconds into a step at which a line passes `celsius`; null when it does not lie between the ends. */
export function secondsToPass(fromC: number, toC: number, seconds: number, celsius: number): number | null {
  if (fromC === toC) return fromC === celsius ? 0 : null;
  const share = (celsius - fromC) / (toC - fromC);
  return share >= 0 && share <= 1 ? share * seconds : null;
}

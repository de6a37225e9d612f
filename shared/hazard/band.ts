/**
 * Seconds of a straight line of temperature that lie in [lowC, highC); exact at any spacing.
 * A stretch that is not a number counts whole: what is not known is taken as time in the band.
 */
export function secondsInBand(
  fromC: number,
  toC: number,
  seconds: number,
  lowC: number,
  highC: number,
): number {
  if (!Number.isFinite(fromC) || !Number.isFinite(toC)) return seconds;
  const low = Math.min(fromC, toC);
  const high = Math.max(fromC, toC);
  if (high < lowC || low >= highC) return 0;
  if (low >= lowC && high < highC) return seconds;
  return (seconds * Math.max(0, Math.min(high, highC) - Math.max(low, lowC))) / (high - low);
}

/** Seconds into a straight line at which it passes `celsius`; null when it does not lie between the ends. */
export function secondsToPass(fromC: number, toC: number, seconds: number, celsius: number): number | null {
  if (fromC === toC) return fromC === celsius ? 0 : null;
  const share = (celsius - fromC) / (toC - fromC);
  return share >= 0 && share <= 1 ? share * seconds : null;
}

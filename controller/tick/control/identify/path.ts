/**
 * The way of the heat from the switch to the reading: element, plume, probe. Two shapes of equal mean delay run side
 * by side, one plain exponential lag (broad) and four equal lags in a row (narrow, nearly a dead time); the real path
 * is taken as a mixture of both. Mean and spread of the mixture are what the method of moments identifies
 * (Astrom & Hagglund, PID Controllers, 1995, section 2.4: average residence time; from memory).
 */

/** What fraction of full heat arrives now, by either shape, with its change per second of mean delay. Plain data. */
export interface HeatPath {
  /** Mean delay the stages are set to, s. */
  readonly meanS: number;
  readonly broad: number;
  readonly broadPerS: number;
  readonly narrow: readonly [number, number, number, number];
  readonly narrowPerS: readonly [number, number, number, number];
}

/** No heat on its way. */
export function restingPath(meanS: number): HeatPath {
  return { meanS, broad: 0, broadPerS: 0, narrow: [0, 0, 0, 0], narrowPerS: [0, 0, 0, 0] };
}

const STAGES = 4;

/** One step of `dtS` seconds with `heat` (fraction of full heat, 0..1) switched through it. */
export function stepPath(path: HeatPath, heat: number, dtS: number): HeatPath {
  const [a, b, c, d] = path.narrow;
  const [ap, bp, cp, dp] = path.narrowPerS;
  if (heat === 0 && path.broad < 1e-9 && d < 1e-9 && a < 1e-9) return path;
  const slow = path.meanS;
  const leftSlow = Math.exp(-dtS / slow);
  const intoSlow = 1 - leftSlow;
  const quick = path.meanS / STAGES;
  const left = Math.exp(-dtS / quick);
  const into = 1 - left;
  // Change of `into` with the mean delay: d/dm of 1 - exp(-dt n / m).
  const steeper = (-(dtS / (quick * quick)) * left) / STAGES;
  const a2 = a + into * (heat - a);
  const ap2 = ap - into * ap + steeper * (heat - a);
  const b2 = b + into * (a2 - b);
  const bp2 = bp + into * (ap2 - bp) + steeper * (a2 - b);
  const c2 = c + into * (b2 - c);
  const cp2 = cp + into * (bp2 - cp) + steeper * (b2 - c);
  const d2 = d + into * (c2 - d);
  const dp2 = dp + into * (cp2 - dp) + steeper * (c2 - d);
  return {
    meanS: slow,
    broad: path.broad + intoSlow * (heat - path.broad),
    broadPerS:
      path.broadPerS - intoSlow * path.broadPerS - (dtS / (slow * slow)) * leftSlow * (heat - path.broad),
    narrow: [a2, b2, c2, d2],
    narrowPerS: [ap2, bp2, cp2, dp2],
  };
}

/**
 * Spread (standard deviation) of the mixture's delay, s: the broad shape has the variance m^2, the narrow one m^2/4.
 * @param narrowShare share of the narrow shape, 0..1
 */
export function spreadS(meanS: number, narrowShare: number): number {
  return meanS * Math.sqrt(Math.max(0, 1 - narrowShare * (1 - 1 / STAGES)));
}

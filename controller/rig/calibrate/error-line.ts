/*
 * The correction a probe needs (reference minus reading) as a straight line through two points that were measured
 * independently, and the uncertainty that follows from theirs. Source: JCGM 100:2008, 5.1.2 (propagation, uncorrelated).
 */

/** A needed correction at a reading, with its standard uncertainty, degrees C. */
export interface ErrorPoint {
  readonly readC: number;
  readonly correctionC: number;
  readonly standardC: number;
}

/** Correction on the line through both points at any reading, with its standard uncertainty. */
export function lineAt(one: ErrorPoint, other: ErrorPoint, readC: number): ErrorPoint {
  const share = (readC - one.readC) / (other.readC - one.readC);
  return {
    readC,
    correctionC: (1 - share) * one.correctionC + share * other.correctionC,
    standardC: Math.hypot((1 - share) * one.standardC, share * other.standardC),
  };
}

/** Standard uncertainty of something known only to lie within a limit either way (JCGM 100:2008, 4.3.7). */
export const standardOfLimit = (limitC: number) => limitC / Math.sqrt(3);

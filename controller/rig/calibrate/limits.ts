/*
 * The numbers calibration rests on, in one place. "Limit" is the largest deviation either way; it enters the
 * uncertainty as limit / sqrt(3) (JCGM 100:2008, 4.3.7, equally likely within).
 */

/** Largest error of an uncorrected DS18B20 from -10 to 85 degrees C. Source: data sheet. */
export const DATA_SHEET_LIMIT_C = 0.5;
/** Span over which that limit holds: a straight error can change by twice the limit over it. */
export const DATA_SHEET_SPAN_C = 95;
/** Drift until the next calibration. Source: data sheet, "drift" (from memory). */
export const DRIFT_LIMIT_C = 0.2;
/** Half of the smallest step at 12 bits. Source: data sheet, table 2. */
export const QUANTUM_LIMIT_C = 0.0625 / 2;
/** Water at the probe against water at the reference, touching, in a stirred bath. Common practice, no source. */
export const MIXING_LIMIT_C = 0.1;
/** How far the error strays from a straight line between its points. Data sheet, typical curve (from memory). */
export const SHAPE_LIMIT_C = 0.1;
/** Largest error near boiling, beyond the best range. Source: data sheet, -55 to 125 degrees C (from memory). */
export const HOT_LIMIT_C = 2;

/** Where the remaining uncertainty is stated for: cooking temperatures within the sensor's best range. */
export const WORKING_C = { low: 50, high: 85 } as const;
/** Where a reference point counts as near cooking temperature. */
export const REFERENCE_C = { low: 60, high: 75 } as const;
/** Reference points nearer to each other than this say the same thing. */
export const APART_C = 3;
/** A probe off by more than this is flagged: it may be failing, or an imitation. */
export const FAR_OFF_C = 1;
/** A probe off by more than this is not calibrated but replaced. */
export const REPLACE_C = 3;
/** Errors of the same probe at two points further apart than this contradict each other. */
export const CONTRADICTION_C = 2;
/** A reference no better than this cannot correct anything. */
export const POOR_REFERENCE_C = 1;
/** No calibration in a kitchen claims to be better. */
export const LEAST_UNCERTAINTY_C = 0.1;
/** A calibration is due again after this. */
export const YEAR_DAYS = 365;
/** Coverage factor: about 95 % (JCGM 100:2008, 6.2 and 6.3). */
export const K = 2;

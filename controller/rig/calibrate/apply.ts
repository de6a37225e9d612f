import type { Calibration } from '../../../shared/wire/calibration.ts';

/** The reading as it should have been, degrees C; unchanged without a calibration. */
export function applyCalibration(calibration: Calibration | null, celsius: number): number {
  if (calibration === null) return celsius;
  const { offsetC, slopePerC, aboutC } = calibration.correction;
  return celsius + offsetC + slopePerC * (celsius - aboutC);
}

/** What the probe reads, uncorrected, when the water is at a true temperature: the same line backwards, degrees C. */
export function uncorrectedC(calibration: Calibration | null, trueC: number): number {
  if (calibration === null) return trueC;
  const { offsetC, slopePerC, aboutC } = calibration.correction;
  return aboutC + (trueC - offsetC - aboutC) / (1 + slopePerC);
}

/**
 * The hard maximum as the board must be told it: the board judges raw codes of 1/16 degree. Where the probe reads low
 * the limit comes down with it; where it reads high the limit stays, for a calibration may only tighten it.
 */
export function hardMaxCode(calibration: Calibration | null, hardMaxC: number): number {
  return Math.floor(16 * Math.min(hardMaxC, uncorrectedC(calibration, hardMaxC)));
}

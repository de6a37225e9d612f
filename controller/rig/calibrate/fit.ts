import { type Calibration, type Correction, calibrationSchema } from '../../../shared/wire/calibration.ts';
import { issueLines } from '../../../shared/wire/config.ts';
import { type ErrorPoint, lineAt, standardOfLimit } from './error-line.ts';
import { type Evidence, evidenceOf } from './evidence.ts';
import { type CalibrationFault, pointFaults } from './faults.ts';
import { DATA_SHEET_SPAN_C, K, LEAST_UNCERTAINTY_C, WORKING_C } from './limits.ts';
import { DS18B20, type SensorPart } from './part.ts';

/** What a person brings: whose probe, when, by whom, and the points. */
export type CalibrationInput = Pick<Calibration, 'rom' | 'calibratedAt' | 'by' | 'points'>;

/** What the points are worth. */
export type Fit = Pick<Calibration, 'method' | 'correction' | 'uncertaintyC' | 'basis'>;

export type CalibrationResult =
  | { readonly ok: true; readonly calibration: Calibration }
  | { readonly ok: false; readonly faults: readonly CalibrationFault[] };

const NO_CORRECTION: Correction = { offsetC: 0, slopePerC: 0, aboutC: 0 };

/**
 * A calibration from its points, or every reason why not.
 *
 * A reference at 60 to 75 degrees C gives an offset. With the ice point it gives a line, but only where the two errors
 * differ by more than their uncertainty (k = 2); else the slope would be noise. Ice alone corrects nothing: it says
 * nothing sure about 65 degrees C. Nor does a reference that leaves more doubt than the data sheet, unless it shows the
 * probe to be outside it.
 */
export function calibrationFrom(input: CalibrationInput, part: SensorPart = DS18B20): CalibrationResult {
  const faults = pointFaults(input.points, part);
  if (faults.length > 0) return { ok: false, faults };
  const parsed = calibrationSchema.safeParse({ ...input, ...fitOf(input.points, part) });
  if (parsed.success) return { ok: true, calibration: parsed.data };
  return { ok: false, faults: issueLines(parsed.error).map((text) => ({ id: 'record', text })) };
}

/** What points that have passed `pointFaults` are worth. */
export function fitOf(points: Calibration['points'], part: SensorPart = DS18B20): Fit {
  const evidence = evidenceOf(points, part);
  const { ice, reference } = evidence;
  if (reference === null) return checkOnly(ice, part);
  const method = slopeIsReal(evidence) ? 'line' : 'offset';
  const leftC = roundedUp(
    K * Math.max(...[WORKING_C.low, WORKING_C.high].map((c) => standardLeftC(evidence, method, c, part))),
  );
  const asDataSheet = Math.abs(reference.correctionC) <= part.limitC;
  if (leftC >= part.limitC && asDataSheet) return checkOnly(reference, part);
  return { method, correction: correctionOf(evidence, method), uncertaintyC: leftC, basis: 'k=2' };
}

/** No correction; the doubt is that of the data sheet, or what was seen where that is more. */
function checkOnly(point: ErrorPoint | null, { limitC }: SensorPart): Fit {
  const seenC = point === null ? 0 : Math.abs(point.correctionC);
  const uncertaintyC = point === null || seenC <= limitC ? limitC : roundedUp(seenC + K * point.standardC);
  return { method: 'check-only', correction: NO_CORRECTION, uncertaintyC, basis: 'limits' };
}

function slopeIsReal({ ice, reference }: Evidence): boolean {
  if (ice === null || reference === null) return false;
  const changeC = Math.abs(reference.correctionC - ice.correctionC);
  return changeC > K * Math.hypot(ice.standardC, reference.standardC);
}

function correctionOf({ ice, reference }: Evidence, method: 'offset' | 'line'): Correction {
  const at = reference!;
  const slopePerC =
    method === 'line' && ice ? (at.correctionC - ice.correctionC) / (at.readC - ice.readC) : 0;
  return { offsetC: tidy(at.correctionC, 4), slopePerC: tidy(slopePerC, 7), aboutC: tidy(at.readC, 4) };
}

/** Standard uncertainty left at a cooking temperature: points, way from them, shape, drift, last digit. */
function standardLeftC(
  { ice, reference }: Evidence,
  method: 'offset' | 'line',
  celsius: number,
  part: SensorPart,
): number {
  const at = reference!;
  const awayC = Math.abs(celsius - at.readC);
  const always = Math.hypot(standardOfLimit(part.shapeC), standardOfLimit(part.driftC));
  if (ice === null) {
    const changeC = ((2 * part.limitC) / DATA_SHEET_SPAN_C) * awayC;
    return Math.hypot(at.standardC, standardOfLimit(changeC), always);
  }
  const line = lineAt(ice, at, celsius);
  // The slope that was left out may be there all the same.
  const leftOutC = method === 'line' ? 0 : Math.abs(line.correctionC - at.correctionC);
  return Math.hypot(line.standardC, standardOfLimit(leftOutC), always);
}

const roundedUp = (celsius: number) => Math.max(LEAST_UNCERTAINTY_C, Math.ceil(celsius * 100 - 1e-9) / 100);
const tidy = (value: number, digits: number) => Math.round(value * 10 ** digits) / 10 ** digits;

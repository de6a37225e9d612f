import type { CalibrationPoint, IcePoint, ReferencePoint } from '../../../shared/wire/calibration.ts';
import { type ErrorPoint, standardOfLimit } from './error-line.ts';
import { MIXING_LIMIT_C } from './limits.ts';
import { DS18B20, type SensorPart } from './part.ts';

/** What the points say of the probe's error: at the ice point, and near cooking temperature. */
export interface Evidence {
  readonly ice: ErrorPoint | null;
  readonly reference: ErrorPoint | null;
}

/** Sums up points that have passed `pointFaults`. Several reference points become one, at their middle. */
export function evidenceOf(points: readonly CalibrationPoint[], part: SensorPart = DS18B20): Evidence {
  const ice = points.find((point) => point.kind === 'ice');
  const references = points.filter((point) => point.kind === 'reference');
  return {
    ice: ice ? iceError(ice, part) : null,
    reference: references.length > 0 ? referenceError(references, part) : null,
  };
}

/** The true temperature of a point that has one. */
export const trueC = (point: IcePoint | ReferencePoint) => (point.kind === 'ice' ? 0 : point.referenceC);

function iceError(point: IcePoint, part: SensorPart): ErrorPoint {
  const standardC = Math.hypot(
    standardOfLimit(point.limitC),
    standardOfLimit(part.quantumC),
    flickerStandardC(point),
  );
  return { readC: point.readC, correctionC: -point.readC, standardC };
}

/** The reference's own error is the same in all of them, so averaging does not make it smaller; the rest it does. */
function referenceError(points: readonly ReferencePoint[], part: SensorPart): ErrorPoint {
  const n = points.length;
  const meanOf = (value: (point: ReferencePoint) => number) =>
    points.reduce((sum, p) => sum + value(p), 0) / n;
  const ownC = Math.hypot(...points.map(ownStandardC)) / n;
  const sharedC = standardOfLimit(Math.max(...points.map((point) => point.limitC)));
  return {
    readC: meanOf((point) => point.readC),
    correctionC: meanOf((point) => point.referenceC - point.readC),
    standardC: Math.hypot(ownC, sharedC, standardOfLimit(part.quantumC)),
  };
}

/** What differs from point to point even with the same reference: mixing and flicker. */
export const ownStandardC = (point: ReferencePoint) =>
  Math.hypot(standardOfLimit(MIXING_LIMIT_C), flickerStandardC(point));

/** Uncertainty of the mean of readings that lay `spreadC` apart. */
const flickerStandardC = ({ spreadC, readings }: CalibrationPoint) =>
  standardOfLimit(spreadC / 2) / Math.sqrt(readings);

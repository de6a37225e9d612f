import type { CalibrationPoint, ReferencePoint } from '../../../shared/wire/calibration.ts';
import { ownStandardC, trueC } from './evidence.ts';
import { APART_C, K, POOR_REFERENCE_C, REFERENCE_C } from './limits.ts';
import { DS18B20, type SensorPart } from './part.ts';

/** Why points make no calibration: an id for code, and words that say what was found, what was expected, what to do. */
export interface CalibrationFault {
  readonly id:
    | 'no-points'
    | 'no-number'
    | 'too-many'
    | 'swapped'
    | 'reference-outside'
    | 'reference-poor'
    | 'too-far'
    | 'too-near'
    | 'disagree'
    | 'contradict'
    | 'record';
  readonly text: string;
}

/** A point that claims a true temperature. */
type Anchor = Exclude<CalibrationPoint, { kind: 'boiling' }>;

/** Everything that speaks against these points, all at once; empty where they can be used. */
export function pointFaults(
  points: readonly CalibrationPoint[],
  part: SensorPart = DS18B20,
): CalibrationFault[] {
  const numbers = points.flatMap(numberFaults);
  if (numbers.length > 0) return numbers;
  const anchors = points.filter((point) => point.kind !== 'boiling');
  const references = points.filter((point) => point.kind === 'reference');
  if (anchors.length === 0) {
    const text =
      points.length > 0
        ? 'Boiling water alone makes no calibration: the sensor is outside its best range there. Add the ice point and a reference at 60 to 75 °C.'
        : 'There are no points. Take the ice point and a reference thermometer at 60 to 75 °C.';
    return [{ id: 'no-points', text }];
  }
  const swapped = swappedFault(anchors);
  if (swapped !== null) return [swapped];
  return [
    ...countFaults(points),
    ...references.flatMap(rangeFaults),
    ...anchors.flatMap((anchor) => farFaults(anchor, part)),
    ...pairFaults(references, part),
    ...contradictionFaults(anchors, part),
  ];
}

function numberFaults(point: CalibrationPoint): CalibrationFault[] {
  const fields = Object.entries(point).filter(([, value]) => typeof value === 'number');
  return fields
    .filter(([, value]) => !Number.isFinite(value))
    .map(([name, value]) => ({
      id: 'no-number',
      text: `The ${point.kind} point's ${name} is ${value}: expected a number. Take the point again.`,
    }));
}

/** Half of the way between ice and the reference range tells them apart, however bad the probe. */
function swappedFault(anchors: readonly Anchor[]): CalibrationFault | null {
  const ice = anchors.find((point) => point.kind === 'ice');
  const reference = anchors.find((point) => point.kind === 'reference');
  if (!ice || !reference || !(ice.readC > 30 && reference.readC < 30)) return null;
  return {
    id: 'swapped',
    text: `The points are swapped: the probe read ${degrees(ice.readC)} at "ice" and ${degrees(reference.readC)} at the reference of ${degrees(reference.referenceC)}. Enter them the other way round.`,
  };
}

function countFaults(points: readonly CalibrationPoint[]): CalibrationFault[] {
  const most = { ice: 1, reference: 3, boiling: 1 } as const;
  return (Object.keys(most) as (keyof typeof most)[]).flatMap((kind) => {
    const count = points.filter((point) => point.kind === kind).length;
    if (count <= most[kind]) return [];
    return [
      { id: 'too-many', text: `${count} ${kind} points: expected at most ${most[kind]}. Keep the best.` },
    ];
  });
}

function rangeFaults(point: ReferencePoint): CalibrationFault[] {
  const faults: CalibrationFault[] = [];
  if (point.referenceC < REFERENCE_C.low || point.referenceC > REFERENCE_C.high) {
    faults.push({
      id: 'reference-outside',
      text: `The reference was at ${degrees(point.referenceC)}: expected ${REFERENCE_C.low} to ${REFERENCE_C.high} °C, near where food is held. Heat or cool the water and take it again.`,
    });
  }
  if (point.limitC > POOR_REFERENCE_C) {
    faults.push({
      id: 'reference-poor',
      text: `The reference may itself be off by ${degrees(point.limitC)}: expected at most ${POOR_REFERENCE_C.toFixed(1)} °C, better 0.3 °C. The probe uncorrected is better than that; use a better thermometer.`,
    });
  }
  return faults;
}

function farFaults(point: Anchor, { replaceC }: SensorPart): CalibrationFault[] {
  const offC = trueC(point) - point.readC;
  if (Math.abs(offC) <= replaceC) return [];
  const hint =
    point.kind === 'ice'
      ? 'Was it slush, crushed ice with just enough water to fill the gaps, stirred?'
      : 'Was the water stirred, with both side by side?';
  return [
    {
      id: 'too-far',
      text: `The probe read ${degrees(point.readC)} where ${degrees(trueC(point))} was true: expected within ${replaceC} °C. ${hint} If so, replace the probe.`,
    },
  ];
}

function pairFaults(references: readonly ReferencePoint[], { shapeC }: SensorPart): CalibrationFault[] {
  return references.flatMap((one, index) =>
    references.slice(index + 1).flatMap((other): CalibrationFault[] => {
      const apartC = Math.abs(one.referenceC - other.referenceC);
      if (apartC < APART_C) {
        return [
          {
            id: 'too-near',
            text: `Two reference points are ${degrees(apartC)} apart and say the same thing: expected ${APART_C} °C or more. Keep the better one.`,
          },
        ];
      }
      const offC = Math.abs(one.referenceC - one.readC - (other.referenceC - other.readC));
      const allowedC = K * Math.hypot(ownStandardC(one), ownStandardC(other)) + shapeC;
      if (offC <= allowedC) return [];
      return [
        {
          id: 'disagree',
          text: `Two reference points disagree by ${offC.toFixed(2)} °C about the same probe: expected at most ${allowedC.toFixed(2)} °C. Stir, hold both side by side, wait until both stand still, and take them again.`,
        },
      ];
    }),
  );
}

function contradictionFaults(anchors: readonly Anchor[], { contradictionC }: SensorPart): CalibrationFault[] {
  const ice = anchors.find((point) => point.kind === 'ice');
  const reference = anchors.find((point) => point.kind === 'reference');
  if (!ice || !reference) return [];
  const changeC = reference.referenceC - reference.readC + ice.readC;
  if (Math.abs(changeC) <= contradictionC) return [];
  return [
    {
      id: 'contradict',
      text: `The probe's error changes by ${Math.abs(changeC).toFixed(2)} °C between ice and ${degrees(reference.referenceC)}: expected at most ${contradictionC} °C. One of the points is wrong, or the probe is: take both again.`,
    },
  ];
}

const degrees = (celsius: number) => `${celsius.toFixed(2)} °C`;

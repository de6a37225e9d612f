/** What a calibration point is taken in, as the flags say it; the probe's own reading is added when it has come to rest. */
export type PointFlags =
  | { readonly kind: 'ice' }
  | {
      readonly kind: 'reference';
      readonly referenceC: number;
      readonly limitC: number;
      readonly instrument: string;
    }
  | {
      readonly kind: 'boiling';
      readonly place: { readonly altitudeM: number } | { readonly pressureKPa: number };
    };

/** The flags that say where a point is taken. */
export interface PointTexts {
  readonly ice?: boolean | undefined;
  readonly boiling?: boolean | undefined;
  readonly reference?: string | undefined;
  readonly limit?: string | undefined;
  readonly instrument?: string | undefined;
  readonly altitude?: string | undefined;
  readonly pressure?: string | undefined;
}

/** Error of a reference that nobody stated, degrees C. */
const USUAL_LIMIT_C = '0.5';
const ALTITUDE_M = { low: -430, high: 5500 } as const;
const PRESSURE_KPA = { low: 50, high: 110 } as const;

/** The point that the flags name, or null; what is wrong with them is added to `faults`. */
export function readPointFlags(texts: PointTexts, faults: string[]): PointFlags | null {
  const { ice, boiling, reference } = texts;
  const named = [ice, boiling, reference !== undefined].filter(Boolean).length;
  if (named > 1) {
    faults.push('--ice, --reference, --boiling: one point at a time, each in its own water. Points add up.');
    return null;
  }
  if (ice) return { kind: 'ice' };
  if (boiling) return boilingPoint(texts, faults);
  return reference === undefined ? null : referencePoint(reference, texts, faults);
}

function referencePoint(reference: string, texts: PointTexts, faults: string[]): PointFlags | null {
  const referenceC = number('reference', reference, 'degrees C', faults);
  const limitC = number('limit', texts.limit ?? USUAL_LIMIT_C, 'degrees C', faults);
  const instrument = texts.instrument?.trim() ?? '';
  if (instrument === '') faults.push('--reference: name the thermometer with --instrument.');
  return { kind: 'reference', referenceC, limitC, instrument };
}

function boilingPoint({ altitude, pressure }: PointTexts, faults: string[]): PointFlags | null {
  if ((altitude === undefined) === (pressure === undefined)) {
    faults.push(
      '--boiling: say where with --altitude M or --pressure KPA (of the place itself), one of them.',
    );
    return null;
  }
  if (altitude !== undefined) {
    const altitudeM = number('altitude', altitude, 'metres', faults, ALTITUDE_M);
    return { kind: 'boiling', place: { altitudeM } };
  }
  const pressureKPa = number('pressure', pressure ?? '', 'kPa', faults, PRESSURE_KPA);
  return { kind: 'boiling', place: { pressureKPa } };
}

function number(
  name: string,
  text: string,
  what: string,
  faults: string[],
  range?: { readonly low: number; readonly high: number },
): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  const within = range === undefined || (value >= range.low && value <= range.high);
  const expected = range === undefined ? what : `${range.low} to ${range.high} ${what}`;
  if (!Number.isFinite(value) || !within) faults.push(`--${name} "${text}": expected ${expected}.`);
  return value;
}

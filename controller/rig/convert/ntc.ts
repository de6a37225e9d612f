import { type Converted, good, noReading } from './converted.ts';

/*
 * NTC thermistors. Source: J. S. Steinhart and S. R. Hart, "Calibration curves for thermistors", Deep-Sea Research 15
 * (1968) 497: 1/T = A + B ln R + C (ln R)^3. The beta equation is the same with C = 0.
 */

const ZERO_C_K = 273.15;

/** One row of a thermistor's table. */
export interface NtcPoint {
  readonly celsius: number;
  readonly ohms: number;
}

/** Coefficients of Steinhart and Hart for ohms and kelvin. */
export interface NtcCurve {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

/**
 * The curve through three points of a table. Take them at the ends and the middle of the range that matters.
 * @throws RangeError where the points do not make a thermistor's curve
 */
export function curveThrough(points: readonly [NtcPoint, NtcPoint, NtcPoint]): NtcCurve {
  const [p1, p2, p3] = [...points].sort((one, other) => one.celsius - other.celsius) as [
    NtcPoint,
    NtcPoint,
    NtcPoint,
  ];
  demandFalling([p1, p2, p3]);
  const [l1, l2, l3] = [p1, p2, p3].map(({ ohms }) => Math.log(ohms)) as [number, number, number];
  const [y1, y2, y3] = [p1, p2, p3].map(({ celsius }) => 1 / (celsius + ZERO_C_K)) as [
    number,
    number,
    number,
  ];
  const slope12 = (y2 - y1) / (l2 - l1);
  const slope13 = (y3 - y1) / (l3 - l1);
  const c = (slope13 - slope12) / (l3 - l2) / (l1 + l2 + l3);
  const b = slope12 - c * (l1 * l1 + l1 * l2 + l2 * l2);
  const curve = { a: y1 - (b + c * l1 * l1) * l1, b, c };
  if (!(b > 0 && c >= 0)) {
    throw new RangeError(
      `the three points do not lie on a thermistor's curve (A ${curve.a}, B ${b}, C ${c})`,
    );
  }
  return curve;
}

/** Beta in kelvin between two rows of a table: ln(R1/R2) / (1/T1 - 1/T2). @throws RangeError for impossible rows */
export function betaBetween(one: NtcPoint, other: NtcPoint): number {
  demandFalling([one, other].sort((p, q) => p.celsius - q.celsius));
  const inverse = (point: NtcPoint) => 1 / (point.celsius + ZERO_C_K);
  return Math.log(one.ohms / other.ohms) / (inverse(one) - inverse(other));
}

/**
 * The curve of a part known only by its resistance at one temperature and its beta in kelvin. Off by about a degree
 * over 0 to 100 degrees C, where a three-point curve is off by hundredths.
 * @throws RangeError for a beta that no thermistor has
 */
export function curveOfBeta(at: NtcPoint, betaK: number): NtcCurve {
  demandPoint(at);
  if (!(betaK >= 1000 && betaK <= 10_000)) {
    throw new RangeError(`beta must lie between 1000 and 10000 K (most parts: 3000 to 4500), got ${betaK}`);
  }
  return { a: 1 / (at.celsius + ZERO_C_K) - Math.log(at.ohms) / betaK, b: 1 / betaK, c: 0 };
}

/** Temperature at a resistance. @throws RangeError for a resistance that is not positive or off the curve */
export function ntcCelsius({ a, b, c }: NtcCurve, ohms: number): number {
  if (!(ohms > 0 && Number.isFinite(ohms)))
    throw new RangeError(`a resistance must be above 0 ohm, got ${ohms}`);
  const log = Math.log(ohms);
  const inverseK = a + b * log + c * log ** 3;
  if (!(inverseK > 0)) throw new RangeError(`${ohms} ohm lies off the curve`);
  return 1 / inverseK - ZERO_C_K;
}

/** Resistance at a temperature: the same curve backwards, by Newton's method. @throws RangeError below absolute zero */
export function ntcOhms({ a, b, c }: NtcCurve, celsius: number): number {
  demandPoint({ celsius, ohms: 1 });
  const target = 1 / (celsius + ZERO_C_K);
  let log = (target - a) / b;
  for (let i = 0; i < 60; i++) {
    const step = (target - a - b * log - c * log ** 3) / (b + 3 * c * log * log);
    log += step;
    if (Math.abs(step) < 1e-14) break;
  }
  return Math.exp(log);
}

/** A thermistor and a fixed resistor in series across the converter's own reference. */
export interface NtcDivider {
  readonly curve: NtcCurve;
  readonly seriesOhms: number;
  /** Where the thermistor sits. */
  readonly thermistorTo: 'ground' | 'supply';
  /** Highest code of the converter: 1023 for 10 bits. */
  readonly fullScale: number;
}

/** A thermistor's own range; outside it the part is damaged or the wiring is wrong. */
const NTC_RANGE_C = { low: -40, high: 125 } as const;

/** An analogue code into a reading; a broken wire and a short are told as such. Never throws. */
export function readNtc(code: number, divider: NtcDivider): Converted {
  const { curve, seriesOhms, thermistorTo, fullScale } = divider;
  if (!(Number.isFinite(code) && code >= 0 && code <= fullScale)) {
    return noReading('range', `an analogue code lies between 0 and ${fullScale}, this is ${code}`);
  }
  const overThermistor = thermistorTo === 'ground' ? code / fullScale : 1 - code / fullScale;
  if (overThermistor > 0.995) return noReading('open', 'the thermistor is open: a broken wire or no probe');
  if (overThermistor < 0.005)
    return noReading('shorted', 'the thermistor is shorted: water in a plug, or crushed wire');
  const celsius = ntcCelsius(curve, (seriesOhms * overThermistor) / (1 - overThermistor));
  if (celsius < NTC_RANGE_C.low || celsius > NTC_RANGE_C.high) {
    return noReading(
      'range',
      `${celsius.toFixed(1)} °C is outside a thermistor's range, ${NTC_RANGE_C.low} to ${NTC_RANGE_C.high} °C`,
    );
  }
  return good(celsius);
}

function demandPoint({ celsius, ohms }: NtcPoint): void {
  if (!(Number.isFinite(celsius) && celsius > -ZERO_C_K && ohms > 0 && Number.isFinite(ohms))) {
    throw new RangeError(
      `a point needs degrees C above ${-ZERO_C_K} and ohms above 0, got ${celsius} °C, ${ohms} ohm`,
    );
  }
}

/** By temperature, rising: resistance must fall, or the rows are not an NTC's. */
function demandFalling(points: readonly NtcPoint[]): void {
  points.forEach(demandPoint);
  points.slice(1).forEach((point, index) => {
    const before = points[index]!;
    if (!(point.celsius > before.celsius && point.ohms < before.ohms)) {
      throw new RangeError(
        `resistance must fall as it gets warmer: ${before.ohms} ohm at ${before.celsius} °C, ${point.ohms} ohm at ${point.celsius} °C`,
      );
    }
  });
}

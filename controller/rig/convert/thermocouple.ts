/*
 * Thermocouples K and T by the reference functions of ITS-90. Source: NIST Standard Reference Database 60 (NIST
 * Monograph 175), the same functions as in IEC 60584-1. Coefficients in mV and degrees C, rising powers.
 */

export type ThermocoupleType = 'K' | 'T';

interface ReferenceFunction {
  readonly below: readonly number[];
  readonly above: readonly number[];
  /** Type K above 0 has a further term: a0 exp(a1 (t - a2)^2). */
  readonly bump: readonly [a0: number, a1: number, a2: number] | null;
  readonly lowestC: number;
  readonly highestC: number;
}

const REFERENCE: Readonly<Record<ThermocoupleType, ReferenceFunction>> = {
  K: {
    below: [
      0, 0.39450128025e-1, 0.23622373598e-4, -0.32858906784e-6, -0.49904828777e-8, -0.67509059173e-10,
      -0.57410327428e-12, -0.31088872894e-14, -0.10451609365e-16, -0.19889266878e-19, -0.16322697486e-22,
    ],
    above: [
      -0.17600413686e-1, 0.38921204975e-1, 0.18558770032e-4, -0.99457592874e-7, 0.31840945719e-9,
      -0.56072844889e-12, 0.56075059059e-15, -0.32020720003e-18, 0.97151147152e-22, -0.12104721275e-25,
    ],
    bump: [0.1185976, -0.1183432e-3, 126.9686],
    lowestC: -200,
    highestC: 1372,
  },
  T: {
    below: [
      0, 0.38748106364e-1, 0.44194434347e-4, 0.11844323105e-6, 0.20032973554e-7, 0.90138019559e-9,
      0.22651156593e-10, 0.36071154205e-12, 0.38493939883e-14, 0.28213521925e-16, 0.14251594779e-18,
      0.48768662286e-21, 0.1079553927e-23, 0.13945027062e-26, 0.79795153927e-30,
    ],
    above: [
      0, 0.38748106364e-1, 0.3329222788e-4, 0.20618243404e-6, -0.21882256846e-8, 0.10996880928e-10,
      -0.30815758772e-13, 0.4547913529e-16, -0.27512901673e-19,
    ],
    bump: null,
    lowestC: -200,
    highestC: 400,
  },
};

/**
 * Voltage with the reference junction at 0 degrees C, in mV.
 * @throws RangeError outside -200 to 1372 (K) or 400 (T) degrees C
 */
export function thermocoupleMillivolts(type: ThermocoupleType, celsius: number): number {
  const { lowestC, highestC } = REFERENCE[type];
  if (!(celsius >= lowestC && celsius <= highestC)) {
    throw new RangeError(`type ${type} is known from ${lowestC} to ${highestC} °C here, got ${celsius}`);
  }
  return voltageAt(REFERENCE[type], celsius);
}

/**
 * Temperature at a voltage against 0 degrees C: the reference function itself inverted, to 1e-9 degrees, so that
 * forward and back agree. (The published inverse polynomials are only approximations to 0.05 degrees C.)
 * @throws RangeError for a voltage outside the range
 */
export function thermocoupleCelsius(type: ThermocoupleType, millivolts: number): number {
  const reference = REFERENCE[type];
  let { lowestC: low, highestC: high } = reference;
  const [least, most] = [voltageAt(reference, low), voltageAt(reference, high)];
  if (!(millivolts >= least && millivolts <= most)) {
    throw new RangeError(
      `${millivolts} mV is outside type ${type}: expected ${least.toFixed(3)} to ${most.toFixed(3)}; a broken wire, reversed leads or another type`,
    );
  }
  let celsius = Math.min(high, Math.max(low, millivolts / 0.04));
  // Secant steps kept inside a shrinking bracket: the curve rises throughout.
  for (let i = 0; i < 200 && high - low > 1e-9; i++) {
    const error = voltageAt(reference, celsius) - millivolts;
    if (error > 0) high = celsius;
    else low = celsius;
    const slope = (voltageAt(reference, celsius + 1e-3) - voltageAt(reference, celsius - 1e-3)) / 2e-3;
    const next = celsius - error / slope;
    if (Math.abs(next - celsius) < 1e-10) return next;
    celsius = next > low && next < high ? next : (low + high) / 2;
  }
  return celsius;
}

/**
 * Temperature of the tip from the voltage at the terminals and the temperature of the terminals: the terminals' own
 * voltage is added first. Temperatures must not be added: the curve is not straight.
 * @throws RangeError as above
 */
export function tipCelsius(type: ThermocoupleType, millivolts: number, terminalsC: number): number {
  return thermocoupleCelsius(type, millivolts + thermocoupleMillivolts(type, terminalsC));
}

function voltageAt({ below, above, bump }: ReferenceFunction, celsius: number): number {
  const coefficients = celsius < 0 ? below : above;
  const sum = coefficients.reduceRight((inner, coefficient) => inner * celsius + coefficient, 0);
  return bump === null || celsius < 0 ? sum : sum + bump[0] * Math.exp(bump[1] * (celsius - bump[2]) ** 2);
}

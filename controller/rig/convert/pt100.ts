/*
 * Platinum resistance thermometers. Source: IEC 60751:2008, Callendar-Van Dusen with the standard's coefficients:
 * R = R0 (1 + A t + B t^2), and below 0 degrees C + C (t - 100) t^3 more.
 */

const A = 3.9083e-3;
const B = -5.775e-7;
const C = -4.183e-12;
const LOWEST_C = -200;
const HIGHEST_C = 850;

/**
 * Resistance at a temperature.
 * @param ohmsAt0 100 for a Pt100, 1000 for a Pt1000
 * @throws RangeError outside -200 to 850 degrees C
 */
export function pt100Ohms(celsius: number, ohmsAt0 = 100): number {
  if (!(celsius >= LOWEST_C && celsius <= HIGHEST_C)) {
    throw new RangeError(`IEC 60751 holds from ${LOWEST_C} to ${HIGHEST_C} °C, got ${celsius}`);
  }
  return ohmsAt0 * ratioAt(celsius);
}

/**
 * Temperature at a resistance: the quadratic solved above 0 degrees C, Newton's method below.
 * @throws RangeError for a resistance that the standard's range does not give (a broken wire, a short, another part)
 */
export function pt100Celsius(ohms: number, ohmsAt0 = 100): number {
  const ratio = ohms / ohmsAt0;
  if (!(ratio >= ratioAt(LOWEST_C) - 1e-12 && ratio <= ratioAt(HIGHEST_C) + 1e-12)) {
    const [low, high] = [LOWEST_C, HIGHEST_C].map((celsius) => (ohmsAt0 * ratioAt(celsius)).toFixed(2));
    throw new RangeError(
      `${ohms} ohm is no platinum thermometer of ${ohmsAt0} ohm: expected ${low} to ${high}; look for a broken wire or a short`,
    );
  }
  const above = (-A + Math.sqrt(A * A - 4 * B * (1 - ratio))) / (2 * B);
  if (ratio >= 1) return above;
  let celsius = above;
  for (let i = 0; i < 30; i++) {
    const slope = A + 2 * B * celsius + C * (4 * celsius - 300) * celsius * celsius;
    const step = (ratio - ratioAt(celsius)) / slope;
    celsius += step;
    if (Math.abs(step) < 1e-12) break;
  }
  return celsius;
}

/** Tolerance classes of IEC 60751:2008, table 3 (AA and C from memory): degrees C at 0, and per degree. */
const TOLERANCES = {
  AA: { atZeroC: 0.1, perC: 0.0017 },
  A: { atZeroC: 0.15, perC: 0.002 },
  B: { atZeroC: 0.3, perC: 0.005 },
  C: { atZeroC: 0.6, perC: 0.01 },
} as const;
export type Pt100Class = keyof typeof TOLERANCES;

/** Largest error either way that a thermometer of this class may have when new, degrees C. Limits, not k = 2. */
export function pt100ToleranceC(tolerance: Pt100Class, celsius: number): number {
  const { atZeroC, perC } = TOLERANCES[tolerance];
  return atZeroC + perC * Math.abs(celsius);
}

function ratioAt(celsius: number): number {
  const above = 1 + A * celsius + B * celsius * celsius;
  return celsius >= 0 ? above : above + C * (celsius - 100) * celsius ** 3;
}

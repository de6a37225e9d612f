/** How fast salt moves through meat. */

/** Molar gas constant, J/(mol K) (CODATA 2018). */
const R = 8.314462618;
const KELVIN = 273.15;

/** A diffusivity at 5 C with its activation energy, and how far either may be off (about 95 %). */
export const SALT_DIFFUSIVITY = {
  at5C: 2.2e-10,
  lowAt5C: 1e-10,
  highAt5C: 4e-10,
  activationJMol: 22_000,
  source: 'Wood 1966 and later work on pork near 5 C (from memory): 1 to 4e-10 m2/s',
  activationSource: 'typical of ions in water, 15 to 32 kJ/mol (from memory)',
} as const;

/** Coldest and hottest the rate is used at, C: unfrozen, unboiled. */
export const DIFFUSION_RANGE_C = [-1, 100] as const;

/**
 * Diffusivity of salt in meat, m2/s, by Arrhenius from its value at 5 C.
 * @param at5C diffusivity at 5 C where another than the usual one is meant, m2/s
 * @throws RangeError outside -1 to 100 C
 */
export function saltDiffusivity(celsius: number, at5C: number = SALT_DIFFUSIVITY.at5C): number {
  const [low, high] = DIFFUSION_RANGE_C;
  if (!(celsius >= low && celsius <= high)) {
    throw new RangeError(
      `salt at ${celsius} C: expected ${low} to ${high} C, where meat is neither frozen nor boiling.`,
    );
  }
  const away = 1 / (celsius + KELVIN) - 1 / (5 + KELVIN);
  return at5C * Math.exp((-SALT_DIFFUSIVITY.activationJMol / R) * away);
}

/** A time at a temperature. */
export interface Stay {
  readonly seconds: number;
  readonly celsius: number;
}

/**
 * How far diffusion has come after some stays, as the square of a length: the sum of D t, m2.
 * Adding is exact, for a uniform piece at a uniform temperature: time only enters a solution as D t.
 * @throws RangeError for a time below zero or a temperature out of range
 */
export function diffusionM2(stays: readonly Stay[], at5C: number = SALT_DIFFUSIVITY.at5C): number {
  let sum = 0;
  for (const { seconds, celsius } of stays) {
    if (!(seconds >= 0 && Number.isFinite(seconds))) {
      throw new RangeError(`a stay of ${seconds} s; expected 0 or more.`);
    }
    sum += saltDiffusivity(celsius, at5C) * seconds;
  }
  return sum;
}

/** Depth that salt has gone into a thick piece, mm: sqrt(4 D t), where it stands at 16 % of the surface's (erfc 1). */
export function penetrationMm(dtM2: number): number {
  return 1000 * Math.sqrt(4 * dtM2);
}

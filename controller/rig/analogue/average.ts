/** What the codes of one window amount to. */
export type Averaged =
  | { readonly ok: true; readonly code: number }
  | { readonly ok: false; readonly why: string };

/** Fewest codes of a reading: plain Firmata has no checksum, so that one damaged message must not make one. */
export const LEAST_CODES = 3;
/** Codes further from the middle one than this share of the span are strays. */
const STRAY_SHARE = 0.02;
/** More strays than this share, and the input is not steady. Common practice, no source. */
const MOST_STRAYS = 0.25;

/**
 * The mean of the codes of about a second, strays left out: those far from the middle one, as a damaged message or a
 * spark gives them. Noise of a step or more makes the mean finer than a step; without noise it is no finer.
 * @param codes raw codes in any order
 * @param span codes of the converter, 2^bits
 * @returns the mean, or why these codes make none
 */
export function averageCodes(codes: readonly number[], span: number): Averaged {
  if (codes.length < LEAST_CODES) {
    return { ok: false, why: `${codes.length} codes: expected ${LEAST_CODES} or more` };
  }
  const sorted = [...codes].sort((one, other) => one - other);
  const middle = sorted[Math.floor(sorted.length / 2)]!;
  const kept = sorted.filter((code) => Math.abs(code - middle) <= STRAY_SHARE * span);
  if (codes.length - kept.length > MOST_STRAYS * codes.length) {
    const apart = sorted.at(-1)! - sorted[0]!;
    return {
      ok: false,
      why: `not steady: within a second its codes lie ${apart} steps apart; look for a loose contact, and twist its wires`,
    };
  }
  return { ok: true, code: kept.reduce((sum, code) => sum + code, 0) / kept.length };
}

/**
 * Complementary error function, to 1e-12 relative.
 * Series erf(x) = 2/sqrt(pi) exp(-x2) sum 2^n x^(2n+1)/(2n+1)!! below 2.5 (Abramowitz & Stegun 7.1.6), the
 * continued fraction 7.1.14 above.
 */
export function erfc(x: number): number {
  if (x < 0) return 2 - erfc(-x);
  if (x > 27) return 0;
  const bell = Math.exp(-x * x);
  if (x < 2.5) {
    let term = x;
    let sum = x;
    for (let n = 1; term > 1e-17 * sum; n++) {
      term *= (2 * x * x) / (2 * n + 1);
      sum += term;
    }
    return 1 - (2 / Math.sqrt(Math.PI)) * bell * sum;
  }
  let below = x;
  for (let n = 60; n >= 1; n--) below = x + n / 2 / below;
  return bell / (Math.sqrt(Math.PI) * below);
}

/** Points and weights on -1..1; `order` points integrate polynomials up to degree 2 order - 1 exactly. */
function gaussLegendre(order: number): { at: number[]; weight: number[] } {
  const at: number[] = [];
  const weight: number[] = [];
  for (let k = 0; k < order; k++) {
    // Newton's method on the Legendre polynomial, from the usual first guess for its k-th root.
    let x = Math.cos((Math.PI * (k + 0.75)) / (order + 0.5));
    let slope = 1;
    for (let pass = 0; pass < 10; pass++) {
      let before = 1;
      let now = x;
      for (let n = 2; n <= order; n++) [before, now] = [now, ((2 * n - 1) * x * now - (n - 1) * before) / n];
      slope = (order * (x * now - before)) / (x * x - 1);
      x -= now / slope;
    }
    at.push(x);
    weight.push(2 / ((1 - x * x) * slope * slope));
  }
  return { at, weight };
}

const rule = gaussLegendre(8);

/** Integral of a smooth function from a to b (Gauss-Legendre, 8 points). */
export function integral(f: (x: number) => number, a: number, b: number): number {
  const half = (b - a) / 2;
  const middle = (a + b) / 2;
  let sum = 0;
  for (let k = 0; k < rule.at.length; k++) sum += rule.weight[k]! * f(middle + half * rule.at[k]!);
  return half * sum;
}

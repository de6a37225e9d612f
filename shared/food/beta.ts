import type { Shape } from './shape.ts';

/** Zeros z of J0 and coefficients 2/(z J1(z)): the core of a long cylinder (Abramowitz & Stegun, table 9.5; Incropera 5.6). */
const CYLINDER = [
  [2.40482556, 1.6019747],
  [5.52007811, -1.06479926],
  [8.65372791, 0.851399192],
  [11.7915344, -0.72964524],
  [14.9309177, 0.648523614],
  [18.071064, -0.589542829],
  [21.2116366, 0.544180196],
  [24.3524715, -0.507893631],
  [27.4934791, 0.478012498],
  [30.6346065, -0.452850559],
] as const;

/** The same of a slab: (n + 1/2) pi, with alternating 2/z (Incropera 5.5). */
const SLAB = Array.from({ length: CYLINDER.length }, (_, n) => {
  const z = (n + 0.5) * Math.PI;
  return [z, (n % 2 === 0 ? 2 : -2) / z] as const;
});

/** Before this Fourier number a core has moved by less than 1e-7 of its way. */
const STILL = 0.015;

/** Share of the way that a core has still to go, with the surface at the water's temperature from the start. */
function left(series: readonly (readonly [zero: number, coefficient: number])[], fourier: number): number {
  if (fourier < STILL) return 1;
  let sum = 0;
  for (const [z, c] of series) {
    const term = c * Math.exp(-z * z * fourier);
    sum += term;
    if (Math.abs(term) < 1e-9) break;
  }
  return sum;
}

type Crossed = Extract<Shape, { kind: 'brick' | 'finite-cylinder' }>;

/** Product solution (Incropera 5.8); `fourier` by the shape's thickness. */
function coreLeft(shape: Crossed, fourier: number): number {
  if (shape.kind === 'brick') {
    const { width, length } = shape;
    return left(SLAB, fourier) * left(SLAB, fourier / width ** 2) * left(SLAB, fourier / length ** 2);
  }
  // A disc's thickness is its height, a rod's its diameter.
  const diameter = shape.length >= 1 ? 1 : 1 / shape.length;
  return left(CYLINDER, fourier / diameter ** 2) * left(SLAB, fourier / (diameter * shape.length) ** 2);
}

/**
 * beta of the body whose core is half way at a Fourier number F, as a polynomial in 1/F. Fitted to 41 betas from 0 to
 * 2, each by its series of Bessel functions of order (beta - 1)/2; off by at most 5e-6.
 */
const BETA_OF_RATE = [-0.99407104, 0.33879196, 0.0170055022, -0.00111759062, 3.27015932e-5] as const;

/** The core of a slab is half way at a Fourier number of 0.3787, that of a sphere at 0.1388; anything else lies between. */
const FASTEST = 0.12;
const SLOWEST = 0.4;

/**
 * The beta to carry a shape through changing water with: the one whose core is half way to the water at the
 * same time as the shape's own (product solution, surface at the water's temperature). From there on the
 * shape's true core is never colder, at any film; before that, while neither is half way, it may be by some
 * degrees. 2 : 3 : 5 bricks come to 0.2 (Baldwin 2012, from memory, takes 0.28 at 95 W/(m2 K)).
 * A closed form: some microseconds.
 * @returns 0 slab, 1 cylinder, 2 sphere, else between.
 * @throws RangeError for a beta outside 0..2.
 */
export function betaOf(shape: Shape): number {
  if (shape.kind === 'slab') return 0;
  if (shape.kind === 'cylinder') return 1;
  if (shape.kind === 'sphere') return 2;
  if (shape.kind === 'beta') {
    if (shape.beta >= 0 && shape.beta <= 2) return shape.beta;
    throw new RangeError(`beta is ${shape.beta}; expected 0 (slab) to 2 (sphere).`);
  }
  let [early, late] = [FASTEST, SLOWEST];
  for (let i = 0; i < 40; i++) {
    const middle = (early + late) / 2;
    if (coreLeft(shape, middle) > 0.5) early = middle;
    else late = middle;
  }
  const beta = BETA_OF_RATE.reduceRight((sum, c) => sum / late + c, 0);
  return Math.min(2, Math.max(0, beta));
}

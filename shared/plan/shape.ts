/**
 * The shape of a piece from what a cook knows of it: cut, weight, thickness. And its beta at once: the general
 * `betaOf` solves conduction for it, which takes longer than a whole plan may.
 */
import type { Cut } from '../food/cuts.ts';
import type { Shape } from '../food/shape.ts';

/** Fourier number at which the core of a body of beta 0, 1/8 ... 2 is half way to the water (computed with shared/food). */
const HALF_WAY = [
  0.37892, 0.33974, 0.30827, 0.28241, 0.26077, 0.24238, 0.22654, 0.21274, 0.20062, 0.18987, 0.18027, 0.17163,
  0.16383, 0.15674, 0.15026, 0.14432, 0.13885,
];
const BETA_STEP = 1 / 8;

/** Zeros of J0 and coefficients 2/(z J1(z)) of the infinite cylinder (Incropera et al., table 5.1 and app. B). */
const CYLINDER = [
  [2.404826, 1.601975],
  [5.520078, -1.064799],
  [8.653728, 0.851399],
  [11.791534, -0.729645],
  [14.930918, 0.648524],
] as const;

function slabCore(fourier: number): number {
  let sum = 0;
  for (let n = 0; n < 16; n++) {
    const z = (n + 0.5) * Math.PI;
    sum += ((n % 2 === 0 ? 2 : -2) / z) * Math.exp(-z * z * fourier);
  }
  return sum;
}

function cylinderCore(fourier: number): number {
  let sum = 0;
  for (const [z, c] of CYLINDER) sum += c * Math.exp(-z * z * fourier);
  return sum;
}

/** Core of a shape whose surface is at the water's temperature, as the share of the way still to go. */
function coreLeft(shape: Shape, fourier: number): number {
  if (shape.kind === 'brick') {
    return slabCore(fourier) * slabCore(fourier / shape.width ** 2) * slabCore(fourier / shape.length ** 2);
  }
  if (shape.kind === 'finite-cylinder') {
    const diameter = shape.length >= 1 ? 1 : 1 / shape.length;
    return cylinderCore(fourier / diameter ** 2) * slabCore(fourier / (diameter * shape.length) ** 2);
  }
  return slabCore(fourier);
}

/** The beta of a shape, to 0.01 of shared/food's `betaOf`, in microseconds. */
export function quickBeta(shape: Shape): number {
  if (shape.kind === 'slab') return 0;
  if (shape.kind === 'cylinder') return 1;
  if (shape.kind === 'sphere') return 2;
  if (shape.kind === 'beta') return shape.beta;
  let [low, high] = [0.05, 0.4];
  for (let i = 0; i < 30; i++) {
    const middle = (low + high) / 2;
    if (coreLeft(shape, middle) > 0.5) low = middle;
    else high = middle;
  }
  const after = HALF_WAY.findIndex((fourier) => fourier <= low);
  if (after === 0) return 0;
  if (after === -1) return 2;
  // Its inverse is nearly straight in beta.
  const [a, b] = [1 / HALF_WAY[after - 1]!, 1 / HALF_WAY[after]!];
  return BETA_STEP * (after - 1 + (1 / low - a) / (b - a));
}

/**
 * The shape a piece of this weight and thickness has, with the proportions usual for its cut.
 * @param density kg/m3
 */
export function pieceShape(cut: Cut, pieceKg: number, thicknessMm: number, density: number): Shape {
  const { typicalShape: typical } = cut;
  const cubes = pieceKg / density / (thicknessMm / 1000) ** 3;
  if (typical.kind === 'brick') {
    const width = Math.max(1, Math.sqrt((cubes * typical.width) / typical.length));
    return { kind: 'brick', width, length: Math.max(width, cubes / width) };
  }
  if (typical.kind === 'finite-cylinder' && typical.length >= 1) {
    return { kind: 'finite-cylinder', length: Math.max(1, cubes / (Math.PI / 4)) };
  }
  return typical;
}

/** Thickest a piece of this weight can be, mm: a ball of it. */
export function mostThicknessMm(pieceKg: number, density: number): number {
  return 1000 * Math.cbrt((6 * pieceKg) / (Math.PI * density));
}

/** One mode of a body's step response at its core: how fast it dies (1/s) and its share of the jump left at time 0. */
export interface CoreMode {
  readonly perS: number;
  readonly share: number;
}

/** A slab or a long cylinder that crosses others to make a body. */
export interface Crossing {
  readonly kind: 'slab' | 'cylinder';
  /** Half thickness or radius, m. */
  readonly radiusM: number;
}

/** Bessel function J_n of whole order by its integral; the trapezoid rule on a whole period converges at once. */
function besselJ(n: number, x: number): number {
  const points = 40 + Math.ceil(1.5 * x);
  let sum = 0;
  for (let k = 0; k < points; k++) {
    const angle = (2 * Math.PI * k) / points;
    sum += Math.cos(n * angle - x * Math.sin(angle));
  }
  return sum / points;
}

/**
 * The modes at the core of a slab or cylinder with a film at its surface, those that die slower than `fastestPerS`:
 * separation of variables (Incropera et al., Fundamentals of Heat and Mass Transfer, eqs 5.42 and 5.50).
 * @param diffusivity m2/s. @param conductivity W/(m K). @param film W/(m2 K), above 0.
 */
export function coreModes(
  crossing: Crossing,
  material: { readonly diffusivity: number; readonly conductivity: number; readonly film: number },
  fastestPerS: number,
): CoreMode[] {
  const { kind, radiusM } = crossing;
  const biot = (material.film * radiusM) / material.conductivity;
  const rate = material.diffusivity / radiusM ** 2;
  const residual =
    kind === 'slab'
      ? (z: number) => z * Math.sin(z) - biot * Math.cos(z)
      : (z: number) => z * besselJ(1, z) - biot * besselJ(0, z);
  return rootsOf(residual, Math.sqrt(fastestPerS / rate)).map((zeta) => ({
    perS: zeta * zeta * rate,
    share: kind === 'slab' ? slabShare(zeta) : cylinderShare(zeta),
  }));
}

const slabShare = (zeta: number) => (4 * Math.sin(zeta)) / (2 * zeta + Math.sin(2 * zeta));

function cylinderShare(zeta: number): number {
  const [j0, j1] = [besselJ(0, zeta), besselJ(1, zeta)];
  return (2 * j1) / (zeta * (j0 * j0 + j1 * j1));
}

/** Roots are about pi apart, so this stride parts them. */
const STRIDE = 0.4;

function rootsOf(residual: (z: number) => number, highest: number): number[] {
  const roots: number[] = [];
  let low = 1e-9;
  let below = residual(low);
  // One root beyond the last wanted: the slowest mode is kept even where all are fast.
  while (low < highest || roots.length === 0) {
    const high = low + STRIDE;
    const above = residual(high);
    if (below * above <= 0) roots.push(rootBetween(residual, low, high, below));
    low = high;
    below = above;
  }
  return roots;
}

function rootBetween(residual: (z: number) => number, from: number, to: number, atFrom: number): number {
  let [low, high] = [from, to];
  for (let k = 0; k < 50; k++) {
    const middle = (low + high) / 2;
    if (residual(middle) * atFrom > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

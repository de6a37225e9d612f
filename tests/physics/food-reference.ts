/**
 * An independent solution to check the solver by: separation of variables on a body of shape beta with a
 * film at its surface, and Duhamel's integral over its modes for water that changes. Nothing here is shared
 * with the product.
 * Sources: Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 5 (eqs 5.42, 5.50, 5.51) for slab,
 * cylinder and sphere; Carslaw & Jaeger, Conduction of Heat in Solids, 1.14 (Duhamel), from memory. For
 * other beta the same Sturm-Liouville problem with its profile integrated numerically.
 */

/** phi and dphi/dx at x, where phi'' + beta/x phi' + phi = 0 and phi(0) = 1. */
type Profile = (x: number) => [number, number];

/** J_n by its integral: the trapezoid rule on a whole period converges faster than any power. */
function bessel(n: number, x: number): number {
  const points = 64 + Math.ceil(2 * Math.abs(x));
  let sum = 0;
  for (let k = 0; k < points; k++) {
    const tau = (2 * Math.PI * k) / points;
    sum += Math.cos(n * tau - x * Math.sin(tau));
  }
  return sum / points;
}

/** Runge-Kutta 4 from the regular start, kept as a table that a few more steps refine to any x. */
function integratedProfile(beta: number): Profile {
  const step = 0.004;
  const slope = (x: number, p: number, d: number): number =>
    x === 0 ? -p / (beta + 1) : -p - (beta / x) * d;
  const advance = (x: number, p: number, d: number, h: number): [number, number] => {
    const k1 = slope(x, p, d);
    const k2 = slope(x + h / 2, p + (h / 2) * d, d + (h / 2) * k1);
    const k3 = slope(x + h / 2, p + (h / 2) * d + ((h * h) / 4) * k1, d + (h / 2) * k2);
    const k4 = slope(x + h, p + h * d + ((h * h) / 2) * k2, d + h * k3);
    return [p + h * d + ((h * h) / 6) * (k1 + k2 + k3), d + (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4)];
  };
  // Series about 0, where beta/x is singular: phi = 1 - x2/(2(beta+1)) + x4/(8(beta+1)(beta+3)).
  const near: Profile = (x) => [
    1 - (x * x) / (2 * (beta + 1)) + x ** 4 / (8 * (beta + 1) * (beta + 3)),
    -x / (beta + 1) + x ** 3 / (2 * (beta + 1) * (beta + 3)),
  ];
  const first = 10;
  const table: [number, number][] = Array.from({ length: first + 1 }, (_, k) => near(k * step));
  return (x) => {
    const whole = Math.floor(x / step);
    while (table.length <= whole) {
      const k = table.length - 1;
      table.push(advance(k * step, table[k]![0], table[k]![1], step));
    }
    if (whole < first) return near(x);
    const [p, d] = table[whole]!;
    return advance(whole * step, p, d, x - whole * step);
  };
}

const profiles = new Map<number, Profile>();

/** The radial profile of a mode. */
export function profileOf(beta: number): Profile {
  let found = profiles.get(beta);
  if (found === undefined) {
    if (beta === 0) found = (x) => [Math.cos(x), -Math.sin(x)];
    else if (beta === 1) found = (x) => [bessel(0, x), -bessel(1, x)];
    else if (beta === 2) {
      found = (x) =>
        x < 1e-4 ? [1 - (x * x) / 6, -x / 3] : [Math.sin(x) / x, (x * Math.cos(x) - Math.sin(x)) / (x * x)];
    } else found = integratedProfile(beta);
    profiles.set(beta, found);
  }
  return found;
}

/** One mode of the step response: root, coefficient, and its profile's value at the surface. */
export interface Mode {
  zeta: number;
  c: number;
  surface: number;
}

const known = new Map<string, Mode[]>();

/** The first `count` modes for a Biot number h R / k (Infinity for a surface at the water's temperature). */
export function modes(beta: number, biot: number, count = 120): Mode[] {
  const key = `${beta}/${biot}/${count}`;
  const cached = known.get(key);
  if (cached) return cached;
  const phi = profileOf(beta);
  const residual = (z: number): number => {
    const [p, d] = phi(z);
    return biot === Number.POSITIVE_INFINITY ? p : z * d + biot * p;
  };
  const found: Mode[] = [];
  // Roots lie about pi apart, the first by itself.
  const stride = 0.4;
  let low = 1e-6;
  let below = residual(low);
  while (found.length < count) {
    const high = low + stride;
    const above = residual(high);
    if (below * above < 0) {
      let [a, b] = [low, high];
      for (let k = 0; k < 52; k++) {
        const middle = (a + b) / 2;
        if (below * residual(middle) <= 0) b = middle;
        else a = middle;
      }
      const zeta = (a + b) / 2;
      const [p, d] = phi(zeta);
      const overlap = -d / zeta;
      const norm = (d * d + p * p + ((beta - 1) * p * d) / zeta) / 2;
      found.push({ zeta, c: overlap / norm, surface: p });
    }
    low = high;
    below = above;
  }
  known.set(key, found);
  return found;
}

/** Water that the reference can integrate exactly: pieces that are linear, or approach a value exponentially. */
export type Piece =
  | { seconds: number; fromC: number; toC: number }
  | { seconds: number; fromC: number; towardC: number; rate: number };

/** Water temperature so far into a piece, C. */
export function waterAt(piece: Piece, t: number): number {
  if ('rate' in piece) return piece.towardC + (piece.fromC - piece.towardC) * Math.exp(-piece.rate * t);
  return piece.fromC + ((piece.toC - piece.fromC) * t) / piece.seconds;
}

export interface Case {
  beta: number;
  radiusM: number;
  diffusivity: number;
  conductivity: number;
  film: number;
  startC: number;
}

/** Core and surface at a time, C, by Duhamel's integral over the modes: exact but for the modes left out. */
export function duhamel(
  body: Case,
  pieces: readonly Piece[],
  seconds: number,
): { core: number; surface: number } {
  const { beta, radiusM, diffusivity, conductivity, film, startC } = body;
  const all = modes(beta, (film * radiusM) / conductivity);
  const lag = all.map(() => 0);
  let water = startC;
  let left = seconds;
  for (const piece of pieces) {
    const t = Math.min(left, piece.seconds);
    const jump = piece.fromC - water;
    for (let n = 0; n < all.length; n++) {
      const decay = (all[n]!.zeta ** 2 * diffusivity) / radiusM ** 2;
      const kept = Math.exp(-decay * t);
      let driven: number;
      if ('rate' in piece) {
        const gain = piece.rate * (piece.towardC - piece.fromC);
        driven = (gain * (Math.exp(-piece.rate * t) - kept)) / (decay - piece.rate);
      } else driven = (((piece.toC - piece.fromC) / piece.seconds) * (1 - kept)) / decay;
      lag[n] = (lag[n]! + jump) * kept + driven;
    }
    water = waterAt(piece, t);
    left -= t;
    if (left <= 0) break;
  }
  let core = water;
  let surface = water;
  for (let n = 0; n < all.length; n++) {
    core -= all[n]!.c * lag[n]!;
    surface -= all[n]!.c * all[n]!.surface * lag[n]!;
  }
  return { core, surface };
}

/** Dimensionless temperature left at the core (or at a relative radius) after a step of the water. */
export function theta(beta: number, biot: number, fourier: number, at = 0): number {
  const phi = profileOf(beta);
  let sum = 0;
  for (const m of modes(beta, biot)) sum += m.c * phi(m.zeta * at)[0] * Math.exp(-m.zeta * m.zeta * fourier);
  return sum;
}

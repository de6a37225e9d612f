/** The body of food to be heated, as conduction sees it: half of its thickness, and how fast its section narrows. */
export interface Body {
  /** Full thickness of a slab, or diameter of a cylinder or sphere, m. */
  thicknessM: number;
  /** 0 slab, 1 cylinder, 2 sphere; values between for the shapes between. */
  beta: number;
  /** Thermal diffusivity, m2/s. */
  diffusivity: number;
  /** Thermal conductivity, W/(m K). */
  conductivity: number;
  /** Points from core to surface; the default keeps the discretisation error under 0.01 C. */
  nodes?: number;
}

/**
 * The body cut into cells from core to surface. Plain data: a JSON round trip gives the same bits.
 * All rates are per second, so a step needs no other constant.
 */
export interface Grid {
  readonly beta: number;
  readonly radiusM: number;
  readonly diffusivity: number;
  readonly conductivity: number;
  /** Distance of each node from the core, m; the last is the surface. */
  readonly radiiM: readonly number[];
  /** Each cell's share of the body's volume; they add up to 1. */
  readonly shares: readonly number[];
  /** Rate at which a node follows its neighbour toward the core, 1/s (first is 0). */
  readonly inward: readonly number[];
  /** Rate at which a node follows its neighbour toward the surface, 1/s (last is 0: see filmRate). */
  readonly outward: readonly number[];
  /** Rate at which the surface node follows the water, 1/s per W/(m2 K) of film coefficient. */
  readonly filmRate: number;
}

const defaultNodes = 41;

/** Throws a RangeError that says what was wrong, what was expected and how to mend it. */
function requireWithin(
  name: string,
  value: number,
  low: number,
  high: number,
  unit: string,
  mend: string,
): void {
  if (value >= low && value <= high) return;
  throw new RangeError(`${name} is ${value}; expected ${low} to ${high} ${unit}. ${mend}`);
}

/**
 * Cuts a body into finite volumes (vertex-centred; the first and last cells are half cells).
 * @returns a grid for stepProfile, startProfile, meanC.
 * @throws RangeError where the body is outside what the model can stand for.
 */
export function makeGrid(body: Body): Grid {
  const { thicknessM, beta, diffusivity, conductivity, nodes = defaultNodes } = body;
  requireWithin(
    'thicknessM',
    thicknessM,
    0.0005,
    1,
    'm',
    'Give the full thickness or diameter in metres (40 mm is 0.04).',
  );
  requireWithin('beta', beta, 0, 2, '(0 slab, 1 cylinder, 2 sphere)', 'Take beta from shape.ts.');
  requireWithin('diffusivity', diffusivity, 1e-8, 1e-3, 'm2/s', 'Meat is near 1.3e-7 m2/s.');
  requireWithin('conductivity', conductivity, 0.01, 1000, 'W/(m K)', 'Meat is near 0.5 W/(m K).');
  if (!Number.isInteger(nodes))
    throw new RangeError(`nodes is ${nodes}; expected a whole number from 3 to 500.`);
  requireWithin('nodes', nodes, 3, 500, 'points', 'Leave it out to get the default.');

  const radiusM = thicknessM / 2;
  const last = nodes - 1;
  const at = (i: number): number => i / last;
  const shares: number[] = [];
  const inward: number[] = [];
  const outward: number[] = [];
  const radiiM: number[] = [];
  const rate = diffusivity / (radiusM * radiusM);
  for (let i = 0; i <= last; i++) {
    const inner = i === 0 ? 0 : (at(i) + at(i - 1)) / 2;
    const outer = i === last ? 1 : (at(i) + at(i + 1)) / 2;
    const share = outer ** (beta + 1) - inner ** (beta + 1);
    const perVolume = (rate * (beta + 1)) / share;
    radiiM.push(radiusM * at(i));
    shares.push(share);
    inward.push(i === 0 ? 0 : (perVolume * inner ** beta) / (at(i) - at(i - 1)));
    outward.push(i === last ? 0 : (perVolume * outer ** beta) / (at(i + 1) - at(i)));
  }
  const filmRate = ((beta + 1) * diffusivity) / (radiusM * conductivity * (shares[last] ?? 1));
  return { beta, radiusM, diffusivity, conductivity, radiiM, shares, inward, outward, filmRate };
}

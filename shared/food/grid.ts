import { integral } from './quadrature.ts';

/** The body of food to be heated, as conduction sees it. */
export interface Body {
  /** Full thickness of a slab, or diameter of a cylinder or sphere, m. */
  thicknessM: number;
  /** 0 slab, 1 cylinder, 2 sphere; values between for the shapes between. */
  beta: number;
  /** Thermal diffusivity, m2/s. */
  diffusivity: number;
  /** Thermal conductivity, W/(m K). */
  conductivity: number;
  /** Points from core to surface; the default keeps the error at the core under 0.006 C for a jump of 80 C. */
  nodes?: number;
}

/**
 * The body cut into cells from core to surface, as the equation M dT/dt = -K T + film (water - surface).
 * Plain data: a JSON round trip gives the same bits. Masses are fractions of the body's heat capacity.
 */
export interface Grid {
  readonly beta: number;
  readonly radiusM: number;
  readonly diffusivity: number;
  readonly conductivity: number;
  /** Distance of each node from the core, m; the last is the surface. */
  readonly radiiM: readonly number[];
  /** What each node counts for in the mean temperature; they add up to 1. */
  readonly shares: readonly number[];
  /** Rows of M: part of the cell's capacity that follows the neighbour toward the core, the node, the next. */
  readonly massInner: readonly number[];
  readonly massOwn: readonly number[];
  readonly massOuter: readonly number[];
  /** Exchange between a node and the next toward the surface, 1/s; one fewer than nodes. */
  readonly links: readonly number[];
  /** Exchange of the surface node with the water, 1/s per W/(m2 K) of film coefficient. */
  readonly filmRate: number;
}

const defaultNodes = 17;

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

function requireBody(body: Body): void {
  const { nodes = defaultNodes } = body;
  requireWithin(
    'thicknessM',
    body.thicknessM,
    0.0005,
    1,
    'm',
    'Give the full thickness in metres: 40 mm is 0.04.',
  );
  requireWithin('beta', body.beta, 0, 2, '(0 slab, 1 cylinder, 2 sphere)', 'Take it from betaOf.');
  requireWithin('diffusivity', body.diffusivity, 1e-8, 1e-3, 'm2/s', 'Meat is near 1.3e-7 m2/s.');
  requireWithin('conductivity', body.conductivity, 0.01, 1000, 'W/(m K)', 'Meat is near 0.5 W/(m K).');
  requireWithin('nodes', nodes, 5, 500, 'points', 'Leave it out to get the default.');
  if (!Number.isInteger(nodes))
    throw new RangeError(`nodes is ${nodes}; expected a whole number. Leave it out.`);
}

/** Value at r of the parabola through three points that is 1 at the k-th and 0 at the other two. */
function parabola(points: readonly [number, number, number], k: number, r: number): number {
  let value = 1;
  for (let j = 0; j < 3; j++) if (j !== k) value *= (r - points[j]!) / (points[k]! - points[j]!);
  return value;
}

/** Tridiagonal M and the links of K, on a body of radius 1 with a volume element r^beta dr. */
interface Matrices {
  inner: number[];
  own: number[];
  outer: number[];
  links: number[];
}

/** What each cell stores: r^beta dT/dt over the cell, with dT/dt a parabola through the node and its neighbours. */
function storage(at: readonly number[], beta: number): Matrices {
  const last = at.length - 1;
  const edge = (i: number): number => (at[i]! + at[i + 1]!) / 2;
  const zeros = (): number[] => new Array<number>(at.length).fill(0);
  const m: Matrices = { inner: zeros(), own: zeros(), outer: zeros(), links: [] };
  // About the core the profile is even in r: a parabola in r2 alone, integrated exactly.
  const first = at[1]!;
  const whole = edge(0) ** (beta + 1) / (beta + 1);
  m.outer[0] = edge(0) ** (beta + 3) / ((beta + 3) * first * first);
  m.own[0] = whole - m.outer[0];
  for (let i = 1; i < last; i++) {
    const points: [number, number, number] = [at[i - 1]!, at[i]!, at[i + 1]!];
    const part = (k: number): number =>
      integral((r) => r ** beta * parabola(points, k, r), edge(i - 1), edge(i));
    m.inner[i] = part(0);
    m.own[i] = part(1);
    m.outer[i] = part(2);
  }
  const [a, b] = [at[last - 1]!, at[last]!];
  m.inner[last] = integral((r) => (r ** beta * (b - r)) / (b - a), edge(last - 1), b);
  m.own[last] = integral((r) => (r ** beta * (r - a)) / (b - a), edge(last - 1), b);
  return m;
}

/**
 * Flux between neighbours, exact where it is steady, corrected by what is stored on its way:
 * flux at the edge = link (T_outer - T_inner - stored), with the stored part moved into M.
 */
function addFluxes(m: Matrices, at: readonly number[], beta: number): void {
  for (let i = 0; i + 1 < at.length; i++) {
    const [a, b] = [at[i]!, at[i + 1]!];
    const edge = (a + b) / 2;
    let link: number;
    let nearA: number;
    let nearB: number;
    if (i === 0) {
      // T1 - T0 follows from dT/dt alone: even parabola integrated twice. No flux crosses the core.
      link = edge ** beta / b;
      nearB = link * ((b * b) / (4 * (beta + 3))) - m.outer[0]!;
      nearA = link * b * b * (1 / (2 * (beta + 1)) - 1 / (4 * (beta + 3))) - m.own[0]!;
    } else {
      link = 1 / integral((r) => r ** -beta, a, b);
      const stored = (f: (s: number) => number): number =>
        link * integral((r) => r ** -beta * integral((s) => s ** beta * f(s), edge, r), a, b);
      nearA = stored((s) => (b - s) / (b - a));
      nearB = stored((s) => (s - a) / (b - a));
    }
    m.links.push(link);
    m.own[i]! += nearA;
    m.outer[i]! += nearB;
    m.inner[i + 1]! -= nearA;
    m.own[i + 1]! -= nearB;
  }
}

/**
 * Cuts a body into compact finite volumes: three points a row, yet of fourth order inside, since flux and
 * storage follow dT/dt within a cell. Nodes lie closest under the surface, where a change of the water bites.
 * @returns a grid for startProfile, stepProfile, runProfile and meanC.
 * @throws RangeError where the body is outside what the model stands for.
 */
export function makeGrid(body: Body): Grid {
  requireBody(body);
  const { thicknessM, beta, diffusivity, conductivity, nodes = defaultNodes } = body;
  const radiusM = thicknessM / 2;
  const at = Array.from({ length: nodes }, (_, i) => Math.sin(((Math.PI / 2) * i) / (nodes - 1)));
  at[nodes - 1] = 1;
  const m = storage(at, beta);
  addFluxes(m, at, beta);
  const scale = beta + 1;
  const scaled = (row: readonly number[]): number[] => row.map((value) => value * scale);
  const rate = (scale * diffusivity) / (radiusM * radiusM);
  return {
    beta,
    radiusM,
    diffusivity,
    conductivity,
    radiiM: at.map((r) => r * radiusM),
    // A column of M is what its node adds to the heat stored in all cells together.
    shares: at.map((_, i) => scale * ((m.outer[i - 1] ?? 0) + m.own[i]! + (m.inner[i + 1] ?? 0))),
    massInner: scaled(m.inner),
    massOwn: scaled(m.own),
    massOuter: scaled(m.outer),
    links: m.links.map((link) => link * rate),
    filmRate: (scale * diffusivity) / (radiusM * conductivity),
  };
}

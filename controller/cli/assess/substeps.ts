/** Substeps at each size before the size doubles. */
const PER_SIZE = 16;
/** The first substeps, as a share of the body's slowest time: a straight line of the core is good to some thousandths of a degree. */
const FIRST_SHARE = 0.02;

/**
 * The longest first substep for a body, s: a share of R2/alpha (4/pi2 + 1/((beta + 1) Bi)), the time its slowest part
 * follows the water in.
 */
export function firstSubstepS(body: {
  readonly thicknessM: number;
  readonly beta: number;
  readonly diffusivity: number;
  readonly conductivity: number;
  readonly film: number;
}): number {
  const radiusM = body.thicknessM / 2;
  const biot = (body.film * radiusM) / body.conductivity;
  const slowest = (radiusM ** 2 / body.diffusivity) * (4 / Math.PI ** 2 + 1 / ((body.beta + 1) * biot));
  return FIRST_SHARE * slowest;
}

/**
 * Cuts a stretch between two rows so that the core is nearly a straight line in each part: the parts start short and
 * double, because what a bend of the water stirs up dies away. Depends on the stretch alone, so that a log split at a
 * row gives the same bits.
 * @returns the ends of the parts, s from the start; the last is `seconds`.
 */
export function substepEnds(seconds: number, firstS: number): number[] {
  let perSize = Math.ceil(seconds / firstS);
  let sizes = 1;
  if (perSize > PER_SIZE) {
    perSize = PER_SIZE;
    while (PER_SIZE * (2 ** sizes - 1) * firstS < seconds) sizes++;
  }
  let step = seconds / (perSize * (2 ** sizes - 1));
  let start = 0;
  const ends: number[] = [];
  for (let size = 0; size < sizes; size++) {
    for (let k = 1; k <= perSize; k++) ends.push(start + k * step);
    start += perSize * step;
    step *= 2;
  }
  ends[ends.length - 1] = seconds;
  return ends;
}

/**
 * The profile of the slowest mode of a body of shape beta: phi(z) = 0F1(; (beta+1)/2; -z2/4), which is cos z
 * for a slab, J0(z) for a cylinder and sin z / z for a sphere.
 * @returns [phi, dphi/dz]; good to 1e-12 for z up to 4.
 */
function modeAt(beta: number, z: number): [number, number] {
  const c = (beta + 1) / 2;
  const x = (-z * z) / 4;
  let term = 1;
  let sum = 1;
  let slope = 0;
  for (let k = 1; k < 40; k++) {
    term *= x / (k * (c + k - 1));
    sum += term;
    slope += 2 * k * term;
  }
  return [sum, z === 0 ? 0 : slope / z];
}

/**
 * First root of z phi'(z) + Bi phi(z) = 0: the slowest decay is alpha z2 / R2.
 * @param biot h R / k; Infinity for a surface held at the water's temperature.
 */
export function firstRoot(beta: number, biot: number): number {
  let low = 0;
  let high = 3.2;
  for (let i = 0; i < 60; i++) {
    const z = (low + high) / 2;
    const [phi, slope] = modeAt(beta, z);
    const residual = biot === Number.POSITIVE_INFINITY ? phi : z * slope + biot * phi;
    // phi falls from 1, so before the first root both forms are positive.
    if (residual > 0) low = z;
    else high = z;
  }
  return (low + high) / 2;
}

/** The shape of a piece from what a cook knows of it: cut, weight, thickness. */
import type { Cut } from '../food/cuts.ts';
import type { Shape } from '../food/shape.ts';

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

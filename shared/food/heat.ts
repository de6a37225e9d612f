import { surfaceC } from './conduction.ts';
import type { Grid } from './grid.ts';

/**
 * Wetted area of a body of this shape that weighs so much: area over volume is (beta + 1) / R.
 * @returns m2.
 */
export function areaM2(grid: Grid, massKg: number, densityKgM3: number): number {
  return ((grid.beta + 1) * massKg) / (densityKgM3 * grid.radiusM);
}

/** Heat that flows from the water into the food at this moment, W; negative while the food gives heat back. */
export function heatFlowW(profile: readonly number[], film: number, waterC: number, areaM2: number): number {
  return film * areaM2 * (waterC - surfaceC(profile));
}

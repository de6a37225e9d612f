import { meanC, surfaceC } from './conduction.ts';
import type { Grid } from './grid.ts';

/**
 * Wetted area of a body of that shape that weighs so much: area / volume = (beta + 1) / R.
 * @returns m2.
 */
export function areaM2(grid: Grid, massKg: number, densityKgM3: number): number {
  return ((grid.beta + 1) * massKg) / (densityKgM3 * grid.radiusM);
}

/** Heat that flows from the water into the food at this moment (negative while the food gives heat back), W. */
export function heatFlowW(profile: readonly number[], film: number, waterC: number, areaM2: number): number {
  return film * areaM2 * (waterC - surfaceC(profile));
}

/**
 * Heat the food took from the water between two profiles, J. By its own heat content, so that a bath that
 * loses this much keeps the balance exactly, whatever the step.
 */
export function heatTakenJ(
  grid: Grid,
  before: readonly number[],
  after: readonly number[],
  massKg: number,
  specificHeat: number,
): number {
  return massKg * specificHeat * (meanC(grid, after) - meanC(grid, before));
}

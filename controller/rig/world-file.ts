import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { PLANT_LAYOUT, type PlantState } from '../../shared/bath/plant.ts';

/** A simulated world as kept between runs, and when it was kept. */
export interface KeptWorld {
  readonly savedAtMs: number;
  readonly plant: PlantState;
}

/** The world of the last run; null where there is none, or none that can be read: then a bath is filled anew. */
export function loadWorld(path: string): KeptWorld | null {
  try {
    const kept = JSON.parse(readFileSync(path, 'utf8')) as KeptWorld;
    return Number.isFinite(kept.savedAtMs) && kept.plant.layout === PLANT_LAYOUT ? kept : null;
  } catch {
    return null;
  }
}

/** Keeps the world, whole or not at all. It is a toy's state: losing the last seconds of it harms nobody. */
export function keepWorld(path: string, plant: PlantState, savedAtMs: number): void {
  writeFileSync(`${path}.new`, JSON.stringify({ savedAtMs, plant } satisfies KeptWorld));
  renameSync(`${path}.new`, path);
}

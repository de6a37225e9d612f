/** Bags in the box: what each does there, how much water to pour, and where the seams must be. */
import { type BagAdvice, bagAdvice } from '../bag/advice.ts';
import { FREEBOARD_MM, roomFor, sealWindow } from '../bag/displacement.ts';
import { type BagStep, bagSteps } from '../bag/steps.ts';
import type { Food } from './food.ts';
import { rigPressureKPa } from './rig.ts';
import type { Dish, Job } from './types.ts';

/** Where the water comes to with every bag in. */
export interface RoomInBox {
  readonly pourLitres: number;
  readonly levelMm: number;
  readonly seamAboveMm: number;
  readonly faults: readonly string[];
}

/** What one bag of a dish does at bath temperature. */
export function adviceFor(job: Job, food: Food, bathC: number): BagAdvice {
  const { dish } = food;
  const { filmId, linerId } = job.rig;
  return bagAdvice({
    foodKg: dish.pieceKg,
    foodDensity: food.densityKgM3,
    airMl: job.airMlPerKg * dish.pieceKg,
    sealC: Math.max(1, dish.startC),
    bathC,
    pressureKPa: rigPressureKPa(job.rig),
    materialIds: [filmId, linerId],
  });
}

/** The steps of bagging one piece of a dish. */
export function stepsFor(advice: BagAdvice, room: RoomInBox): BagStep[] {
  return bagSteps(advice, room.seamAboveMm);
}

/** Water to pour so that the bags find room under the brim, and what is wrong with it where anything is. */
export function roomOf(
  job: Job,
  bags: readonly { readonly dish: Dish; readonly advice: BagAdvice }[],
): RoomInBox {
  const { openingM2, brimMm, waterLitres, lowestMm } = job.rig;
  const placed = bags.flatMap(({ dish, advice }) =>
    Array.from({ length: dish.piecesCount }, () => ({ volumeL: advice.volumeL, submergedFraction: 1 })),
  );
  const bulkL = placed.reduce((sum, bag) => sum + bag.volumeL, 0);
  const mostL = openingM2 * (brimMm - FREEBOARD_MM) - bulkL;
  const pourLitres = Math.max(0, Math.min(waterLitres, Math.floor(mostL * 2) / 2));
  const room =
    pourLitres > 0
      ? roomFor({ openingM2, brimMm, waterLitres: pourLitres, lowestMm }, placed)
      : { levelMm: 0, faults: [`${bulkL.toFixed(1)} L of bags do not fit into this box; fewer bags`] };
  const { seamAboveMm } = sealWindow(room.levelMm, lowestMm, 0, brimMm);
  const faults = [...room.faults];
  if (seamAboveMm > brimMm + 60) faults.push('seams cannot be kept above the water here; pour in less');
  return { pourLitres, levelMm: room.levelMm, seamAboveMm, faults };
}

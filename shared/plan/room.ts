/** Bags in the box: what each does there, how much water to pour, and where the seams must be. */
import { AIR_LEFT_ML_PER_KG, type BagAdvice, bagAdvice, meatDensity } from '../bag/advice.ts';
import { FREEBOARD_MM, mostBags, roomFor, sealWindow, WATER_PER_FOOD } from '../bag/displacement.ts';
import { type BagStep, bagSteps } from '../bag/steps.ts';
import type { Food } from './food.ts';
import { type Rig, rigPressureKPa } from './rig.ts';
import type { Dish, Job } from './types.ts';

/** Where the water comes to with every bag in. */
export interface RoomInBox {
  readonly pourLitres: number;
  readonly levelMm: number;
  /** The least height of a seam that no water of the whole cook reaches. */
  readonly seamAboveMm: number;
  /** Where the water comes to before it is topped up: food stays wholly under it. */
  readonly lowestPredictedMm: number;
  /** Bags of the largest kind that the box takes with room for the water to move. */
  readonly mostBagsCount: number;
  readonly faults: readonly string[];
  /** Not null: these bags are too many for the box, so that nothing said of come-up and dip holds. */
  readonly tooSmall: string | null;
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
  return bagSteps(advice, room.seamAboveMm, room.lowestPredictedMm);
}

/**
 * Water to pour so that the bags find room under the brim, and what is wrong with it where anything is.
 * @param evaporatesL over the whole cook; half of the spare water may be gone before a top-up
 */
export function roomOf(
  job: Job,
  bags: readonly { readonly dish: Dish; readonly advice: BagAdvice }[],
  evaporatesL: number,
): RoomInBox {
  const { openingM2, brimMm, waterLitres, lowestMm } = job.rig;
  const placed = bags.flatMap(({ dish, advice }) =>
    Array.from({ length: dish.piecesCount }, () => ({ volumeL: advice.volumeL, submergedFraction: 1 })),
  );
  const bulkL = placed.reduce((sum, bag) => sum + bag.volumeL, 0);
  const largestL = Math.max(0.05, ...placed.map((bag) => bag.volumeL));
  const mostL = openingM2 * (brimMm - FREEBOARD_MM) - bulkL;
  const pourLitres = Math.max(0, Math.min(waterLitres, Math.floor(mostL * 2) / 2));
  const room =
    pourLitres > 0
      ? roomFor({ openingM2, brimMm, waterLitres: pourLitres, lowestMm }, placed)
      : { levelMm: 0, faults: [`${bulkL.toFixed(1)} L of bags do not fit into this box; fewer bags`] };
  const spareL = Math.max(0, pourLitres - openingM2 * lowestMm);
  const lowestPredictedMm = room.levelMm - Math.min(evaporatesL, spareL / 2) / openingM2;
  const { seamAboveMm } = sealWindow(room.levelMm, lowestPredictedMm, 0, brimMm);
  const faults = [...room.faults];
  if (seamAboveMm > brimMm + 60) faults.push('seams cannot be kept above the water here; pour in less');
  faults.push(...bags.flatMap(({ dish, advice }) => foldedFault(dish, advice, openingM2)));
  const mostBagsCount = mostBags(job.rig, largestL).bags;
  const tooSmall = pourLitres < WATER_PER_FOOD * bulkL ? (room.faults[0] ?? null) : null;
  return {
    pourLitres,
    levelMm: room.levelMm,
    seamAboveMm,
    lowestPredictedMm,
    mostBagsCount,
    faults,
    tooSmall,
  };
}

/** A piece larger than the box is wide lies folded, and folded it is thicker than planned for. */
function foldedFault(dish: Dish, advice: BagAdvice, openingM2: number): string[] {
  const areaM2 = advice.volumeL / dish.thicknessMm;
  if (areaM2 <= 1.2 * openingM2) return [];
  const cm = (m2: number) => Math.round(100 * Math.sqrt(m2));
  return [
    `${dish.name}: ${dish.pieceKg.toFixed(1)} kg at ${Math.round(dish.thicknessMm)} mm is ${cm(areaM2)} cm square, the box ${cm(openingM2)} cm; folded it is thicker than planned for and heats slower. More and smaller bags`,
  ];
}

/**
 * The job with no more water in its box than its bags leave room for: heat-up and dip are those of what is poured in.
 * @param bathC at which the bags' air is reckoned; a few degrees change no half litre
 */
export function withRoomFor(job: Job, foods: readonly Food[], bathC: number): Job {
  const bags = foods.map((food) => ({ dish: food.dish, advice: adviceFor(job, food, bathC) }));
  const { pourLitres, tooSmall } = roomOf(job, bags, 0);
  const { rig } = job;
  const lessL = rig.waterLitres - pourLitres;
  if (tooSmall !== null || lessL <= 0) return job;
  if (rig.kind === 'described') return { ...job, rig: { ...rig, waterLitres: pourLitres } };
  const capacityJK = Math.max(rig.figures.capacityJK - lessL * WATER_J_LK, pourLitres * WATER_J_LK);
  return { ...job, rig: { ...rig, waterLitres: pourLitres, figures: { ...rig.figures, capacityJK } } };
}

/** Heat capacity of water between fill and bath, J/(L K): IAPWS-95 at 45 C, 4180 J/(kg K) x 0.990 kg/L. */
const WATER_J_LK = 4139;

/** Fat of a shoulder, share of weight (judgement: lamb and pork shoulders have 0.1 to 0.2). */
const SHOULDER_FAT = 0.15;

/** What a box takes of equal bags. */
export interface BoxTakes {
  readonly bagKg: number;
  /** Outer volume of one, warm and under water. */
  readonly bagLitres: number;
  readonly mostBagsCount: number;
  /** Water to pour in for so many. */
  readonly pourLitres: number;
  readonly displacedLitres: number;
  readonly brimLitres: number;
}

/**
 * How many bags of one weight a rig takes, with 1.5 L of water for each litre of food and 20 mm to the brim.
 * @param densityKgM3 of the food; as that of a shoulder where nobody named it
 * @throws RangeError for a weight or density that is none
 */
export function boxTakes(
  rig: Rig,
  bagKg: number,
  bathC: number,
  densityKgM3 = meatDensity(SHOULDER_FAT),
): BoxTakes {
  const { volumeL } = bagAdvice({
    foodKg: bagKg,
    foodDensity: densityKgM3,
    airMl: AIR_LEFT_ML_PER_KG * bagKg,
    sealC: 4,
    bathC,
    pressureKPa: rigPressureKPa(rig),
    materialIds: [rig.filmId, rig.linerId],
  });
  const { bags, waterLitres } = mostBags(rig, volumeL);
  return {
    bagKg,
    bagLitres: volumeL,
    mostBagsCount: bags,
    pourLitres: Math.min(rig.waterLitres, waterLitres),
    displacedLitres: bags * volumeL,
    brimLitres: rig.openingM2 * rig.brimMm,
  };
}

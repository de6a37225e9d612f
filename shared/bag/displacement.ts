/**
 * Room in the box: what the bags displace, where the level comes to, how many go in, and where seams may be.
 */

/** A straight-sided box and what stands in it. */
export interface Box {
  openingM2: number;
  brimMm: number;
  waterLitres: number;
  /** the level may never fall under this (element, probe, pump), mm */
  lowestMm: number;
}

/** A bag as it lies, warm: see `lieOf` for its volume. */
export interface Placed {
  volumeL: number;
  submergedFraction: number;
}

/** Space kept under the brim for slopping and for a hand, mm (common practice, no source). */
export const FREEBOARD_MM = 20;
/** Water for each litre of food, so that it can move round every bag (common practice, no source). */
export const WATER_PER_FOOD = 1.5;

/** Where the water comes to. */
export interface Room {
  displacedL: number;
  levelMm: number;
  /** mm from the water to the brim; below 0 it has run over */
  freeboardMm: number;
  /** litres that run over */
  spillsL: number;
  /** the level once every bag is out again, mm, after what spilled is gone */
  emptiedMm: number;
  faults: string[];
}

/**
 * The level with bags in, and what is wrong with it: over the brim, too little freeboard, too little water to
 * move, or too little left when the bags come out.
 * @throws RangeError when the box is none
 */
export function roomFor(box: Box, bags: readonly Placed[]): Room {
  const { openingM2, brimMm, waterLitres, lowestMm } = box;
  if (!(openingM2 > 0 && brimMm > 0 && waterLitres > 0)) {
    throw new RangeError(`box of ${openingM2} m2, ${brimMm} mm, ${waterLitres} L; expected all above 0`);
  }
  const displacedL = bags.reduce((sum, bag) => sum + bag.volumeL * bag.submergedFraction, 0);
  const bulkL = bags.reduce((sum, bag) => sum + bag.volumeL, 0);
  const fullMm = (waterLitres + displacedL) / openingM2;
  const spillsL = Math.max(0, (fullMm - brimMm) * openingM2);
  const levelMm = Math.min(brimMm, fullMm);
  const emptiedMm = (waterLitres - spillsL) / openingM2;
  const faults: string[] = [];
  if (spillsL > 0) faults.push(`${spillsL.toFixed(1)} L would run over the brim; pour in less water`);
  else if (brimMm - levelMm < FREEBOARD_MM) {
    faults.push(`only ${(brimMm - levelMm).toFixed(0)} mm to the brim; keep ${FREEBOARD_MM} mm`);
  }
  if (waterLitres - spillsL < WATER_PER_FOOD * bulkL) {
    faults.push(
      `${waterLitres.toFixed(1)} L is too little to move round ${bulkL.toFixed(1)} L of bags; fewer bags`,
    );
  }
  if (emptiedMm < lowestMm) {
    faults.push(
      `with the bags out the water stands at ${emptiedMm.toFixed(0)} mm, under ${lowestMm} mm; ` +
        'stop the heat or top up before taking them out',
    );
  }
  return { displacedL, levelMm, freeboardMm: brimMm - fullMm, spillsL, emptiedMm, faults };
}

/** The best filling of a box for a number of equal bags. */
export interface Filling {
  bags: number;
  waterLitres: number;
}

/**
 * How many equal bags a box takes with room for the water to move, and the water to pour in for them.
 * @param bagL volume of one bag as it lies warm
 * @returns the most bags (0 when not one goes) and the water that then fills the box to its freeboard
 */
export function mostBags(box: Omit<Box, 'waterLitres'>, bagL: number): Filling {
  if (!(bagL > 0)) throw new RangeError(`a bag of ${bagL} L; expected above 0`);
  const usableL = box.openingM2 * (box.brimMm - FREEBOARD_MM);
  const leastL = box.openingM2 * box.lowestMm;
  let bags = 0;
  while (usableL - (bags + 1) * bagL >= Math.max(leastL, WATER_PER_FOOD * (bags + 1) * bagL)) bags++;
  return { bags, waterLitres: Math.max(0, usableL - bags * bagL) };
}

/** Where food and seam must be against the water's highest and lowest level. */
export interface SealWindow {
  /** the food stays covered down to the lowest level */
  foodCovered: boolean;
  /** the seam stays dry up to the highest level */
  seamDry: boolean;
  /** the least height of the seam above the floor that is right, mm */
  seamAboveMm: number;
}

/** A seam needs this much above the water for ripples and for a hand on the bag, mm (common practice, no source). */
const SEAM_MARGIN_MM = 25;

/**
 * Whether a clipped bag is right through the whole cook: its seam above the highest level, its food under the
 * lowest.
 * @param foodTopMm top of the food above the floor; `seamMm` the seam's lowest point
 */
export function sealWindow(
  highestMm: number,
  lowestMm: number,
  foodTopMm: number,
  seamMm: number,
): SealWindow {
  const seamAboveMm = highestMm + SEAM_MARGIN_MM;
  return { foodCovered: foodTopMm <= lowestMm, seamDry: seamMm >= seamAboveMm, seamAboveMm };
}

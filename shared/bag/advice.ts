/** What one filled bag will do in the bath: swell, float, and how far its film can be trusted. */
import { ballastToSinkKg, type Load, lieOf, STEEL_DENSITY, STONE_DENSITY } from './buoyancy.ts';
import { dryAirMol, gasVolumeMl } from './gas.ts';
import { type Ceiling, ceilingOf } from './materials.ts';

/** A bag before it goes in. */
export interface BagAsked {
  readonly foodKg: number;
  /** kg/m3; lean 1060, average 1050, fatty 1000 (from memory) */
  readonly foodDensity: number;
  /** Air left at sealing, mL, and the temperature then. */
  readonly airMl: number;
  readonly sealC: number;
  readonly bathC: number;
  readonly pressureKPa: number;
  /** Ids of `MATERIALS` in the water: the bag's film and the box's liner. */
  readonly materialIds: readonly string[];
}

/** What a bag will do. */
export interface BagAdvice {
  readonly coldAirMl: number;
  readonly hotAirMl: number;
  /** The pocket's growth from sealing to the bath. */
  readonly growthRatio: number;
  readonly floats: boolean;
  /** Ballast that holds it under with 50 g to spare. */
  readonly ballastSteelKg: number;
  readonly ballastStoneKg: number;
  /** Steel to take: what holds it under, and never less than is usual for its weight. */
  readonly ballastTakeKg: number;
  /** Cold air at which it would begin to float without ballast, mL; 0 where it floats without any. */
  readonly floatsFromMl: number;
  /** Outer volume as it lies, warm and sunk, L. */
  readonly volumeL: number;
  readonly ceiling: Ceiling;
  /** True where the bath is hotter than what is in the water stands. */
  readonly tooHot: boolean;
}

/** Air left by pressing a bag under water, mL for each kilogram of food (judgement: a few spoonfuls in the folds). */
export const AIR_LEFT_ML_PER_KG = 10;

/** Steel that is taken with each kilogram of food whatever the sums say (common practice, no source: 150 to 250 g). */
const USUAL_BALLAST = 0.15;

/** Density of meat by its fat, kg/m3: lean 1060 to fatty 1000 (from memory), straight between 5 and 30 % fat. */
export function meatDensity(fatFraction: number): number {
  const share = Math.min(1, Math.max(0, (fatFraction - 0.05) / 0.25));
  return 1060 - 60 * share;
}

/**
 * Swelling, floating, ballast and ceiling of one bag.
 * @throws RangeError for an unknown material or a weight that is none
 */
export function bagAdvice(asked: BagAsked): BagAdvice {
  const { foodKg, foodDensity, airMl, sealC, bathC, pressureKPa } = asked;
  if (!(foodKg > 0 && foodDensity > 0 && airMl >= 0)) {
    throw new RangeError(
      `a bag of ${foodKg} kg at ${foodDensity} kg/m3 with ${airMl} mL of air; expected weights above 0, air 0 or more.`,
    );
  }
  const hotOf = (coldMl: number) => gasVolumeMl(dryAirMol(coldMl, sealC, pressureKPa), bathC, pressureKPa);
  const load = (gasMl: number): Load => ({ foodKg, foodDensity, ballastKg: 0, gasMl, waterC: bathC });
  const hotAirMl = hotOf(airMl);
  const hot = load(hotAirMl);
  const growthRatio = hotOf(1);
  const spareKg = -lieOf(load(0)).netLiftKg;
  const ceiling = ceilingOf(asked.materialIds, bathC);
  const ballastSteelKg = ballastToSinkKg({ ...hot, ballastDensity: STEEL_DENSITY });
  return {
    coldAirMl: airMl,
    hotAirMl,
    growthRatio,
    floats: lieOf(hot).afloat,
    ballastSteelKg,
    ballastTakeKg: Math.max(ballastSteelKg, USUAL_BALLAST * foodKg),
    ballastStoneKg: ballastToSinkKg({ ...hot, ballastDensity: STONE_DENSITY }),
    floatsFromMl: Math.max(0, (spareKg * 1000) / growthRatio),
    volumeL: lieOf(hot).volumeL,
    ceiling,
    tooHot: bathC > ceiling.maxC,
  };
}

/** A whole cure: what to weigh, how long, how far the salt goes in the fridge and then in the bath. */

import { type AromaticWeight, aromaticG } from './aromatics.ts';
import { type CureCaution, cureCautions } from './cautions.ts';
import { type DepthVerdict, depthVerdict } from './depth.ts';
import { diffusionM2, penetrationMm, SALT_DIFFUSIVITY, type Stay } from './diffusivity.ts';
import { type FridgeVerdict, fridgeVerdict } from './fridge.ts';
import { type NitriteAsked, type NitriteResult, nitrite } from './nitrite.ts';
import { packedMeanRatio, packedSaltRatio, rinsedSaltRatio, weighedSaltRatio } from './profile.ts';

/**
 * `equilibrium`: salt weighed for the meat, all of it stays, no rinse. `packed`: more salt than the meat shall take,
 * for a time, then rinsed off.
 */
export type CureMethod = 'equilibrium' | 'packed';

/** What a cure is asked with. */
export interface CureAsked {
  readonly meatKg: number;
  readonly thicknessMm: number;
  /** Salt wanted in the meat, percent of the raw weight. */
  readonly saltPercent: number;
  readonly method?: CureMethod;
  /** Sugar for each gram of salt; none unless said. */
  readonly sugarRatio?: number;
  /** Time in the fridge, s. Packed: worked out from the salt where it is left out. */
  readonly fridgeS?: number;
  readonly fridgeC?: number;
  /** The bath after it; none: the cure alone. */
  readonly bath?: Stay | null;
  readonly poultry?: boolean;
  readonly aromatics?: readonly { readonly id: string; readonly percent?: number }[];
  /** Off unless given. */
  readonly nitrite?: Omit<NitriteAsked, 'meatKg'> | null;
  /** Water in the meat, for the strength of brine at the face of a packed cure; lean meat 0.7. */
  readonly waterFraction?: number;
}

/** Salt at one depth under the face. */
export interface DepthPoint {
  readonly depthMm: number;
  readonly afterFridgePercent: number;
  readonly afterBathPercent: number | null;
}

/** A cure worked out. */
export interface Cure {
  readonly method: CureMethod;
  readonly saltG: number;
  readonly sugarG: number;
  /** Loose salt to pack it in, g; 0 for equilibrium. */
  readonly packG: number;
  readonly fridgeS: number;
  /** Packed: how early or late the same salt may be in, about 95 %. */
  readonly fridgeLowS: number;
  readonly fridgeHighS: number;
  readonly fridgeC: number;
  readonly fridge: FridgeVerdict;
  /** Weight lost as brine, percent of the raw weight. */
  readonly lossPercent: number;
  readonly lossLowPercent: number;
  readonly lossHighPercent: number;
  /** Mean salt of the meat as it comes out of the cure. */
  readonly meanSaltPercent: number;
  readonly penetrationMm: number;
  readonly profile: readonly DepthPoint[];
  readonly depth: DepthVerdict;
  readonly rinse: string;
  readonly aromatics: readonly AromaticWeight[];
  readonly nitrite: NitriteResult | null;
  readonly warnings: readonly string[];
  readonly cautions: readonly CureCaution[];
  readonly sources: readonly string[];
}

/** Weight that meat loses to salt in 12 to 24 h at 1.5 to 2 %, percent (from memory). */
export const CURE_LOSS = { low: 1, middle: 2, high: 4, source: 'from memory' } as const;
/** Salt in its saturated brine near fridge temperature, share of weight (from memory: 26.3 g in 100 g). */
const SATURATED = 0.263;
const LEAN_WATER = 0.7;
/** Loose salt that surely stays in excess on the faces, of the meat's weight (common practice, no source). */
const PACK_SHARE = 0.08;
const OVERNIGHT_S = 12 * 3600;
const FRIDGE_C = 4;
const POINTS = 8;

/** Everything about a cure. @throws RangeError naming what cannot be, what was expected and how to mend it */
export function cure(asked: CureAsked): Cure {
  requireCure(asked);
  const { meatKg, thicknessMm, saltPercent, method = 'equilibrium', fridgeC = FRIDGE_C } = asked;
  const poultry = asked.poultry ?? false;
  const found = asked.nitrite ? nitrite({ ...asked.nitrite, meatKg }) : null;
  const saltG = meatKg * 10 * saltPercent - (found?.saltG ?? 0);
  if (saltG < 0) {
    throw new RangeError(
      `the curing salt alone brings ${found!.saltG.toFixed(0)} g of salt, more than ${said(saltPercent)} % of the meat; ask for more salt or less curing salt.`,
    );
  }
  const packed = method === 'packed' ? packTimes(asked, fridgeC) : null;
  const fridgeS = asked.fridgeS ?? packed?.middleS ?? OVERNIGHT_S;
  const stays = { fridge: { seconds: fridgeS, celsius: fridgeC }, bath: asked.bath ?? null };
  const meanSaltPercent = packed ? packed.meanAfter(fridgeS) : saltPercent;
  return {
    method,
    saltG,
    sugarG: saltG * (asked.sugarRatio ?? 0),
    packG: packed ? meatKg * 1000 * PACK_SHARE : 0,
    fridgeS,
    fridgeLowS: packed && asked.fridgeS === undefined ? packed.lowS : fridgeS,
    fridgeHighS: packed && asked.fridgeS === undefined ? packed.highS : fridgeS,
    fridgeC,
    fridge: fridgeVerdict(fridgeC),
    lossPercent: CURE_LOSS.middle,
    lossLowPercent: CURE_LOSS.low,
    lossHighPercent: CURE_LOSS.high,
    meanSaltPercent,
    penetrationMm: penetrationMm(diffusionM2([stays.fridge])),
    profile: profileOf(asked, stays, meanSaltPercent),
    depth: depthVerdict(thicknessMm, method, stays.fridge, stays.bath),
    rinse: rinseWords(method),
    aromatics: (asked.aromatics ?? []).map(({ id, percent }) => aromaticG(id, meatKg, percent)),
    nitrite: found,
    warnings: warningsOf(saltPercent, meanSaltPercent, poultry),
    cautions: cureCautions(poultry, method === 'packed'),
    sources: [SALT_DIFFUSIVITY.source, SALT_DIFFUSIVITY.activationSource, 'loss while curing: from memory'],
  };
}

function requireCure(asked: CureAsked): void {
  const faults: string[] = [];
  const check = (name: string, value: number | undefined, low: number, high: number, unit: string) => {
    if (value !== undefined && !(value >= low && value <= high)) {
      faults.push(`${name} is ${value}; expected ${low} to ${high} ${unit}`);
    }
  };
  check('meat', asked.meatKg, 0.02, 200, 'kg');
  check('thickness', asked.thicknessMm, 3, 300, 'mm');
  check('salt', asked.saltPercent, 0.1, 6, '% of the raw weight (1 to 2.5 is usual)');
  check('sugar', asked.sugarRatio, 0, 3, 'g for each g of salt');
  check('fridge time', asked.fridgeS, 0, 60 * 86_400, 's');
  check('fridge', asked.fridgeC, -1, 15, 'C');
  check('bath', asked.bath?.celsius, 40, 95, 'C');
  check('time in the bath', asked.bath?.seconds, 0, 7 * 86_400, 's');
  check('water of the meat', asked.waterFraction, 0.3, 0.85, '(share of weight)');
  if (faults.length > 0) throw new RangeError(`${faults.join('; ')}.`);
}

/** Salt of the meat right at the face of a packed cure, percent: its water as saturated brine. */
export function packedFacePercent(waterFraction = LEAN_WATER): number {
  const salt = (waterFraction * SATURATED) / (1 - SATURATED);
  return (100 * salt) / (1 + salt);
}

/** Time for a packed cure to bring in the salt wanted, from the uptake of a slab; and the salt after any time. */
function packTimes(asked: CureAsked, fridgeC: number) {
  const half = asked.thicknessMm / 2000;
  const face = packedFacePercent(asked.waterFraction);
  const wanted = asked.saltPercent / face;
  if (wanted >= 0.95) {
    throw new RangeError(
      `a packed cure cannot bring ${asked.saltPercent} % into the meat; its brine has ${face.toFixed(0)} %. Ask for less, or weigh the salt (equilibrium).`,
    );
  }
  let [low, high] = [0, 3];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (packedMeanRatio(middle) < wanted) low = middle;
    else high = middle;
  }
  const seconds = (at5C: number) =>
    (high * half * half) / diffusionM2([{ seconds: 1, celsius: fridgeC }], at5C);
  const meanAfter = (fridgeS: number) =>
    face * packedMeanRatio(diffusionM2([{ seconds: fridgeS, celsius: fridgeC }]) / (half * half));
  return {
    middleS: seconds(SALT_DIFFUSIVITY.at5C),
    lowS: seconds(SALT_DIFFUSIVITY.highAt5C),
    highS: seconds(SALT_DIFFUSIVITY.lowAt5C),
    meanAfter,
  };
}

function profileOf(
  asked: CureAsked,
  stays: { fridge: Stay; bath: Stay | null },
  meanPercent: number,
): DepthPoint[] {
  const half = asked.thicknessMm / 2000;
  const cold = diffusionM2([stays.fridge]) / half ** 2;
  const hot = stays.bath ? diffusionM2([stays.bath]) / half ** 2 : 0;
  const face = packedFacePercent(asked.waterFraction);
  const packed = asked.method === 'packed';
  const points: DepthPoint[] = [];
  for (let i = 0; i <= POINTS; i++) {
    // The face of a weighed cure at the start holds all of it, so the first point is taken a little inside.
    const x = Math.max(i / POINTS, packed ? 0 : 0.02);
    const afterFridge = packed ? face * packedSaltRatio(x, cold) : meanPercent * weighedSaltRatio(x, cold);
    const afterBath = packed
      ? face * rinsedSaltRatio(x, cold, hot)
      : meanPercent * weighedSaltRatio(x, cold + hot);
    points.push({
      depthMm: (x * asked.thicknessMm) / 2,
      afterFridgePercent: afterFridge,
      afterBathPercent: stays.bath ? afterBath : null,
    });
  }
  return points;
}

function rinseWords(method: CureMethod): string {
  return method === 'equilibrium'
    ? 'Do not rinse: the salt was weighed, and rinsing takes away a share that nobody measured. Pat dry, or leave it in its bag.'
    : 'Rinse the loose salt off, pat dry, fry a thin slice from the edge and taste it. Too salt: soak 10 to 30 min in cold water in the fridge and taste again.';
}

const said = (percent: number) => Number(percent.toFixed(2));

function warningsOf(saltPercent: number, meanPercent: number, poultry: boolean): string[] {
  const words: string[] = [];
  if (saltPercent > 2.5) words.push(`${said(saltPercent)} % of salt is more than most like (1 to 2.5 %).`);
  if (saltPercent < 1) words.push(`${said(saltPercent)} % of salt is mild; 1.5 % is usual.`);
  if (Math.abs(meanPercent - saltPercent) > 0.3) {
    words.push(
      `In this time the meat takes up ${meanPercent.toFixed(1)} % of salt, not ${said(saltPercent)} %.`,
    );
  }
  if (poultry) words.push('Skin lets little salt through: salt under it, and on the meat side.');
  return words;
}

/** Has the salt come to the middle? When overnight is too short for the thickness, this says so. */
import { diffusionM2, SALT_DIFFUSIVITY, type Stay } from './diffusivity.ts';
import { packedMeanRatio, packedSaltRatio, rinsedSaltRatio, weighedSaltRatio } from './profile.ts';

/** How far salt has come, judged. */
export interface DepthVerdict {
  /** Salt in the centre over its mean: when it leaves the fridge, and after the bath (with the spread of the diffusivity). */
  readonly centreAfterFridgeRatio: number;
  readonly centreAfterBathRatio: number | null;
  readonly centreAfterBathLowRatio: number | null;
  readonly centreAfterBathHighRatio: number | null;
  /** Even enough to be tasted as one. */
  readonly enough: boolean;
  /** Time in the fridge after which it would be, s. */
  readonly neededFridgeS: number;
  readonly words: string;
}

/** A centre with at least this share of the mean is tasted as seasoned (judgement). */
export const SEASONED_RATIO = 0.5;

type Method = 'equilibrium' | 'packed';

/** Judges how far salt has gone in a slab of this thickness after its stays in the fridge and in the bath. */
export function depthVerdict(
  thicknessMm: number,
  method: Method,
  fridge: Stay,
  bath: Stay | null,
): DepthVerdict {
  const ratio = (seconds: number, withBath: boolean, at5C: number = SALT_DIFFUSIVITY.at5C) =>
    centreRatio(thicknessMm, method, { ...fridge, seconds }, withBath ? bath : null, at5C);
  const afterFridge = ratio(fridge.seconds, false);
  const last = ratio(fridge.seconds, true);
  const enough = last >= SEASONED_RATIO;
  const neededFridgeS = enough ? fridge.seconds : needed((seconds) => ratio(seconds, true));
  return {
    centreAfterFridgeRatio: afterFridge,
    centreAfterBathRatio: bath ? last : null,
    centreAfterBathLowRatio: bath ? ratio(fridge.seconds, true, SALT_DIFFUSIVITY.lowAt5C) : null,
    centreAfterBathHighRatio: bath ? ratio(fridge.seconds, true, SALT_DIFFUSIVITY.highAt5C) : null,
    enough,
    neededFridgeS,
    words: wordsOf(thicknessMm, fridge, bath, afterFridge, last, neededFridgeS),
  };
}

function centreRatio(
  thicknessMm: number,
  method: Method,
  fridge: Stay,
  bath: Stay | null,
  at5C: number,
): number {
  const half2 = (thicknessMm / 2000) ** 2;
  const cold = diffusionM2([fridge], at5C) / half2;
  const hot = bath ? diffusionM2([bath], at5C) / half2 : 0;
  if (method === 'equilibrium') return weighedSaltRatio(1, cold + hot);
  const mean = packedMeanRatio(cold);
  if (mean === 0) return 0;
  return (hot > 0 ? rinsedSaltRatio(1, cold, hot) : packedSaltRatio(1, cold)) / mean;
}

function needed(ratio: (seconds: number) => number): number {
  let [low, high] = [0, 3600];
  while (ratio(high) < SEASONED_RATIO && high < 120 * 86_400) high *= 2;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (ratio(middle) < SEASONED_RATIO) low = middle;
    else high = middle;
  }
  return high;
}

const percent = (ratio: number) => `${Math.round(100 * ratio)} %`;

/** A time that is given, as it is said elsewhere: tenths of an hour under ten. */
function lastsWords(seconds: number): string {
  const hours = seconds / 3600;
  return seconds < 2 * 86_400 ? `${Number(hours.toFixed(hours < 10 ? 1 : 0))} h` : timeWords(seconds);
}

/** A time that is needed: rounded up. */
function timeWords(seconds: number): string {
  return seconds < 2 * 86_400 ? `${Math.ceil(seconds / 3600)} h` : `${Math.ceil(seconds / 86_400)} days`;
}

function wordsOf(
  thicknessMm: number,
  fridge: Stay,
  bath: Stay | null,
  afterFridge: number,
  last: number,
  neededS: number,
): string {
  const first = `After ${lastsWords(fridge.seconds)} in the fridge the centre has ${percent(afterFridge)} of the mean salt`;
  const then = bath ? `, after ${lastsWords(bath.seconds)} in the bath ${percent(last)}` : '';
  if (last >= 0.8) return `${first}${then}: even enough to taste as one.`;
  if (last >= SEASONED_RATIO) return `${first}${then}: seasoned through, milder in the middle.`;
  return (
    `${first}${then}. ${lastsWords(fridge.seconds)} is too short for ${Math.round(thicknessMm)} mm: the middle stays bland. ` +
    `${timeWords(neededS)} in the fridge would do; or thinner pieces (time goes with the square of the thickness), or season when it is carved.`
  );
}

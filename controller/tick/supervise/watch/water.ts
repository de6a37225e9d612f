import { quickLatentJKg } from '../../../../shared/water/table.ts';
import { BEAT_S, type RigState, STEAM } from '../../control/identify/rig.ts';
import type { BalanceNow } from './balance.ts';

/**
 * Water gone since the last fill that somebody told of. The middle goes by the part of the loss that behaves like
 * steam; the most is bounded by the heat: what evaporates takes its latent heat along, so no more can have gone than
 * the whole loss would pay for. Kilograms, plain data.
 */
export interface WaterWatch {
  readonly goneKg: number;
  readonly goneMostKg: number;
  /** The most that goes now, kg/s. */
  readonly mostKgPerS: number;
}

export const FULL: WaterWatch = { goneKg: 0, goneMostKg: 0, mostKgPerS: 0 };

/** Part of an unexplained loss that is steam, where it is a lid that is off. */
const OPEN_STEAM_SHARE = 0.7;

/** Takes in a beat. `heatJK` the rig's heat capacity. */
export function watchWater(water: WaterWatch, rig: RigState, now: BalanceNow, heatJK: number): WaterWatch {
  const latent = quickLatentJKg(now.waterC);
  const extra = Math.max(0, -now.long.rate - 3 * now.long.error - now.modelSd);
  const steam = rig.belief.mean[STEAM]! * now.shape.steamWM2 + OPEN_STEAM_SHARE * extra;
  const whole = now.lossCPerS + 2 * now.modelSd + 1.3 * extra;
  const perDegree = heatJK / latent;
  const mostKgPerS = 1.1 * whole * perDegree;
  return {
    goneKg: water.goneKg + steam * perDegree * BEAT_S,
    goneMostKg: water.goneMostKg + mostKgPerS * BEAT_S,
    mostKgPerS,
  };
}

/** Somebody poured water in. */
export function pour(water: WaterWatch, litres: number): WaterWatch {
  return {
    ...water,
    goneKg: Math.max(0, water.goneKg - litres),
    goneMostKg: Math.max(0, water.goneMostKg - litres),
  };
}

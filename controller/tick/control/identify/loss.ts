import { shahRate } from '../../../../shared/water/evaporation.ts';
import { boilingPointC, STANDARD_ATMOSPHERE_KPA } from '../../../../shared/water/saturation.ts';
import { convectionFilm, radiationFilm } from '../../../../shared/water/surface.ts';
import { quickLatentJKg, quickSaturationKPa } from '../../../../shared/water/table.ts';

/** Room humidity where nobody measures it. */
const ROOM_HUMIDITY = 0.5;
/** Edge of the open surface that convection goes by, m; it hardly matters (fourth root). */
const SURFACE_M = 0.08;
const BOILING_C = boilingPointC(STANDARD_ATMOSPHERE_KPA);

/**
 * The shapes a bath's loss is made of. How much of each a rig has is identified; the shapes are physics:
 * `dry` grows with the excess over the room (wall, lid), `steam` with evaporation.
 */
export interface LossShape {
  /** Water less room, K. */
  readonly dryK: number;
  /** Heat that a square metre of open water loses by evaporation in quiet air, W/m2 (Shah, ASHRAE Trans. 2014). */
  readonly steamWM2: number;
  /** Heat that a square metre of open water loses by convection and radiation, W/m2 (Incropera & DeWitt). */
  readonly openWM2: number;
}

/** The shapes at a water and room temperature, degC. */
export function lossShape(waterC: number, roomC: number): LossShape {
  const water = Math.min(waterC, BOILING_C - 0.5);
  const airKPa = quickSaturationKPa(roomC) * ROOM_HUMIDITY;
  const rate = shahRate(water, quickSaturationKPa(water), roomC, airKPa, STANDARD_ATMOSPHERE_KPA);
  const film = convectionFilm(water, roomC, SURFACE_M) + radiationFilm(water, roomC);
  return {
    dryK: water - roomC,
    steamWM2: (Math.max(0, rate) * quickLatentJKg(water)) / 3600,
    openWM2: film * (water - roomC),
  };
}

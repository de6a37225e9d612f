/**
 * What the water may have done while nobody measured it and the heater was off for want of a reading (lumped water,
 * exponential towards the room). Deliberately wide: a covered box at best, an open one at worst.
 */

/** Volumetric heat capacity of water near 70 degC, J/(L K) (IAPWS density x specific heat). */
const WATER_J_PER_L_K = 4097;
/** The best box: 10 cm of foam, lid on, W/K (common practice, no source). */
const LEAST_LOSS_WK = 0.4;
/** The same box in ordinary use, lid on. */
const USUAL_LOSS_WK = 2;
/** An open bath at 75 degC loses some 600 W to a room at 20 degC (Carrier, see shared/bath). */
const MOST_LOSS_WK = 12;
const ROOM_C = 20;
/** A warm kitchen: against it the slowest cooling is judged. */
const WARM_ROOM_C = 35;
/** A fall that noise and a warm corner may hide. */
const HIDDEN_C = 0.4;
/** No outage is taken for longer than this. */
const LONGEST_S = 12 * 3600;

/** Warmest and coolest that water can be `seconds` after `lastC`, degrees C, heater off. */
export function unseenWater(
  lastC: number,
  seconds: number,
  litres: number,
): { warmC: number; coolC: number } {
  const after = (lossWK: number) =>
    ROOM_C + (lastC - ROOM_C) * Math.exp((-seconds * lossWK) / (litres * WATER_J_PER_L_K));
  if (lastC <= ROOM_C) return { warmC: lastC, coolC: lastC };
  return { warmC: after(USUAL_LOSS_WK), coolC: after(MOST_LOSS_WK) };
}

/** The longest time in which water could have cooled from `beforeC` to `afterC`, seconds: the best box in a warm room. */
export function longestAwayS(beforeC: number, afterC: number, litres: number): number {
  const before = beforeC - WARM_ROOM_C;
  const after = Math.min(beforeC, afterC) - HIDDEN_C - WARM_ROOM_C;
  if (before <= 0 || after <= 0) return LONGEST_S;
  const timeConstantS = (litres * WATER_J_PER_L_K) / LEAST_LOSS_WK;
  return Math.min(LONGEST_S, timeConstantS * Math.log(before / after));
}

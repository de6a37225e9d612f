/**
 * Does a bag float, and what keeps it under? Archimedes' principle: a body floats when the water it could
 * displace weighs more than it does; afloat, it displaces its own weight.
 */
import { quickDensity } from '../water/table.ts';

/** Stainless steel 1.4301, kg/m3 (EN 10088-1, table of physical properties: 7.9 kg/dm3). */
export const STEEL_DENSITY = 7900;
/** Stone or glazed ceramic, kg/m3 (from memory: 2300 to 2700; the light end, which asks for more of it). */
export const STONE_DENSITY = 2300;
/** Mass of a large food bag, kg (from memory: 10 to 25 g); its plastic displaces about its own weight. */
export const FILM_KG = 0.015;

/** What hangs in the water. */
export interface Load {
  foodKg: number;
  /** kg/m3; meat 1000 (fatty) to 1060 (lean) */
  foodDensity: number;
  ballastKg: number;
  /** kg/m3, default steel */
  ballastDensity?: number;
  /** gas in the bag at its present temperature, mL */
  gasMl: number;
  waterC: number;
}

/** How a load lies in the water. */
export interface Lie {
  massKg: number;
  /** outer volume, litres */
  volumeL: number;
  afloat: boolean;
  /** share of its volume under water: 1 when sunk */
  submergedFraction: number;
  /** lift minus weight when wholly under, kg: above 0 it rises */
  netLiftKg: number;
}

/**
 * How a load lies in still water.
 * @returns volumes, net lift and the share under water; a load of infinite gas floats with nothing under
 */
export function lieOf(load: Load): Lie {
  const solids = load.foodKg / load.foodDensity + load.ballastKg / (load.ballastDensity ?? STEEL_DENSITY);
  const density = quickDensity(load.waterC);
  const volume = solids + FILM_KG / density + load.gasMl * 1e-6;
  const mass = load.foodKg + load.ballastKg + FILM_KG;
  const netLift = density * volume - mass;
  const submerged = netLift > 0 ? mass / (density * volume) : 1;
  return {
    massKg: mass,
    volumeL: volume * 1000,
    afloat: netLift > 0,
    submergedFraction: submerged,
    netLiftKg: netLift,
  };
}

/**
 * Ballast that just keeps a load under.
 * @param load the load; ballast it already has counts
 * @param spareKg extra hold-down wanted, kg of net weight in water (default 0.05)
 * @returns kg of ballast to add, 0 when it sinks as it is
 */
export function ballastToSinkKg(load: Load, spareKg = 0.05): number {
  const lift = lieOf(load).netLiftKg + spareKg;
  if (lift <= 0) return 0;
  return lift / (1 - quickDensity(load.waterC) / (load.ballastDensity ?? STEEL_DENSITY));
}

/**
 * What a bath loses, from its description or from what was identified: the balance that sizing works on.
 */
import { shahRate } from '../water/evaporation.ts';
import { liquidHeatJKg } from '../water/liquid.ts';
import {
  boilingPointC,
  latentHeatJKg,
  liquidDensity,
  STANDARD_ATMOSPHERE_KPA,
  saturationPressureKPa,
} from '../water/saturation.ts';
import { convectionFilm, radiationFilm } from '../water/surface.ts';

/** Air pressure by altitude, for those who describe a rig by where it stands. */
export { airPressureKPa } from '../water/saturation.ts';

/** Thermal conductivity of insulation, W/(m K). */
export const INSULATION: Readonly<Record<string, { conductivity: number; source: string }>> = {
  eps: { conductivity: 0.038, source: 'EN 13163, expanded polystyrene: 0.034 to 0.037, measured 0.038' },
  xps: { conductivity: 0.035, source: 'extruded polystyrene, typical declared value' },
  pu: { conductivity: 0.025, source: 'polyurethane foam, aged 0.022 to 0.028 (from memory)' },
  none: { conductivity: 0.2, source: 'solid plastic wall, polyethylene 0.2 to 0.5 (from memory, best case)' },
};

/** Films on the outer and inner face of a wall, W/(m2 K) (still air with radiation 8; water 500). */
const OUTER_FILM = 8;
const INNER_FILM = 500;

/**
 * Heat transfer of an insulated wall, U = 1 / (1/8 + t/k + 1/500).
 * @param thicknessMm of the insulation
 * @returns W/(m2 K)
 * @throws RangeError for a material that is not in `INSULATION` or a thickness below 0
 */
export function wallU(insulation: string, thicknessMm: number): number {
  const material = INSULATION[insulation];
  if (!material) {
    const known = Object.keys(INSULATION).join(', ');
    throw new RangeError(`insulation "${insulation}" is not known; expected one of ${known}`);
  }
  if (!(thicknessMm >= 0 && thicknessMm <= 1000)) {
    throw new RangeError(`insulation thickness is ${thicknessMm} mm; expected 0 to 1000`);
  }
  return 1 / (1 / OUTER_FILM + thicknessMm / 1000 / material.conductivity + 1 / INNER_FILM);
}

/** A box as somebody would describe it before building it. */
export interface BoxFigures {
  waterLitres: number;
  watts: number;
  /** area of the open surface, and of walls and floor together, m2 */
  openingM2: number;
  wallM2: number;
  insulation: string;
  insulationMm: number;
  /** insulation of the lid; 0 for a plain sheet or foil */
  lidMm: number;
  /** share of the open bath's evaporation that escapes under the lid; default 0.08 (judgement: lids save 90 to 95 %) */
  lidEvaporationShare?: number;
  /** food in the bath, kg; default 0 */
  foodKg?: number;
  roomC: number;
  /** 0 to 1; default 0.5 */
  relativeHumidity?: number;
  /** default standard atmosphere */
  pressureKPa?: number;
}

/** What was identified from a rig that has run. */
export interface RigFigures {
  /** heat that reaches the water at full duty, W */
  watts: number;
  /** water, box and all that warms with them, J/K */
  capacityJK: number;
  /** loss to the room with the lid on and off, W/K about the working temperature */
  lossLidOnWK: number;
  lossLidOffWK: number;
  openingM2: number;
  roomC: number;
  pressureKPa?: number;
  /** evaporation measured from the level, lid on, kg/h about the working temperature; null when unknown */
  evaporationLidOnKgH: number | null;
}

/** Parts of a loss, W. */
export interface Loss {
  wallW: number;
  /** lid, or the open surface's convection and radiation */
  topW: number;
  evaporationW: number;
  totalW: number;
  evaporationKgH: number;
}

/** The balance sizing works on, whatever it was made from. */
export interface Balance {
  watts: number;
  roomC: number;
  boilingC: number;
  /** heat to bring everything from one temperature to another, J */
  heatJ(fromC: number, toC: number): number;
  loss(waterC: number, lidOn: boolean): Loss;
}

/** Mean specific heat of meat, J/(kg K) (Choi and Okos, lean meat about 3500). */
const FOOD_HEAT_JKGK = 3500;
/** Box wall that warms with the water, J/(m2 K): 3 mm of plastic and half its foam (judgement). */
const WALL_HEAT_JM2K = 7000;

function requireFigures(figures: object): void {
  const wrong = Object.entries(figures).filter(
    ([name, value]) =>
      typeof value === 'number' && !(Number.isFinite(value) && (value >= 0 || name === 'roomC')),
  );
  if (wrong.length === 0) return;
  const list = wrong.map(([name, value]) => `${name} is ${value}`).join('; ');
  throw new RangeError(`${list}; expected finite numbers, none below 0 but roomC`);
}

/**
 * The balance of a described box. Evaporation after Shah (2014); wall by `wallU`; convection and radiation
 * from the open surface.
 * @throws RangeError naming every figure that is not usable
 */
export function balanceOfBox(box: BoxFigures): Balance {
  requireFigures(box);
  const pressure = box.pressureKPa ?? STANDARD_ATMOSPHERE_KPA;
  const boilingC = boilingPointC(pressure);
  const wallWK = box.wallM2 * wallU(box.insulation, box.insulationMm);
  const lidWK = box.openingM2 * wallU(box.insulation, box.lidMm);
  const waterKg = (box.waterLitres * liquidDensity(Math.max(1, box.roomC))) / 1000;
  const solidJK = (box.foodKg ?? 0) * FOOD_HEAT_JKGK + box.wallM2 * WALL_HEAT_JM2K;
  const airKPa = saturationPressureKPa(box.roomC) * (box.relativeHumidity ?? 0.5);
  const lidShare = box.lidEvaporationShare ?? 0.08;
  return {
    watts: box.watts,
    roomC: box.roomC,
    boilingC,
    heatJ: (fromC, toC) => waterKg * liquidHeatJKg(fromC, toC) + solidJK * (toC - fromC),
    loss: (waterC, lidOn) => {
      const over = waterC - box.roomC;
      const openKgH =
        box.openingM2 * shahRate(waterC, saturationPressureKPa(waterC), box.roomC, airKPa, pressure);
      const evaporationKgH = openKgH * (lidOn ? lidShare : 1);
      const openFilm =
        convectionFilm(waterC, box.roomC, Math.sqrt(box.openingM2) / 4) + radiationFilm(waterC, box.roomC);
      const wallW = wallWK * over;
      const topW = (lidOn ? lidWK : box.openingM2 * openFilm) * over;
      const evaporationW = (evaporationKgH * latentHeatJKg(waterC)) / 3600;
      return { wallW, topW, evaporationW, totalW: wallW + topW + evaporationW, evaporationKgH };
    },
  };
}

/**
 * The balance of a rig that has run, from identified figures: losses in proportion to the excess over the room.
 * Evaporation off a lidless bath is what the lid's lifting adds to the loss, less the surface's dry heat.
 * @throws RangeError naming every figure that is not usable
 */
export function balanceOfRig(rig: RigFigures): Balance {
  requireFigures(rig);
  if (!(rig.capacityJK > 0)) throw new RangeError(`capacityJK is ${rig.capacityJK}; expected above 0`);
  return {
    watts: rig.watts,
    roomC: rig.roomC,
    boilingC: boilingPointC(rig.pressureKPa ?? STANDARD_ATMOSPHERE_KPA),
    heatJ: (fromC, toC) => rig.capacityJK * (toC - fromC),
    loss: (waterC, lidOn) => {
      const over = waterC - rig.roomC;
      const totalW = (lidOn ? rig.lossLidOnWK : rig.lossLidOffWK) * over;
      const latent = latentHeatJKg(waterC);
      const coveredW = ((rig.evaporationLidOnKgH ?? 0) * latent) / 3600;
      const openFilm =
        convectionFilm(waterC, rig.roomC, Math.sqrt(rig.openingM2) / 4) + radiationFilm(waterC, rig.roomC);
      const added = Math.max(0, (rig.lossLidOffWK - rig.lossLidOnWK - openFilm * rig.openingM2) * over);
      const evaporationW = Math.max(0, Math.min(totalW, lidOn ? coveredW : coveredW + added));
      const topW = lidOn ? 0 : Math.min(totalW - evaporationW, openFilm * rig.openingM2 * over);
      const evaporationKgH = (evaporationW * 3600) / latent;
      return { wallW: totalW - topW - evaporationW, topW, evaporationW, totalW, evaporationKgH };
    },
  };
}

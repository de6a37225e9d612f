/** The rig a plan is made for: a box that is only described, or one that has run and was identified. */
import {
  airPressureKPa,
  type Balance,
  type BoxFigures,
  balanceOfBox,
  balanceOfRig,
  type RigFigures,
} from '../bath/losses.ts';
import {
  type Answer,
  DESCRIBED_SPREAD,
  heatUpBand,
  highestC,
  type Spread,
  type TimeBand,
  willItDo,
} from '../bath/sizing.ts';
import type { Circulation } from '../food/film.ts';

interface RigCommon {
  readonly waterLitres: number;
  readonly openingM2: number;
  readonly brimMm: number;
  /** Lowest level that covers element and probe, mm. */
  readonly lowestMm: number;
  readonly lidOn: boolean;
  readonly circulation: Circulation;
  /** Ids of `shared/bag/materials.ts`. */
  readonly filmId: string;
  readonly linerId: string;
  /** Water as it is poured in, and the room, C. */
  readonly fillC: number;
  readonly roomC: number;
  readonly altitudeM: number;
  /** Highest setpoint that the controller takes, C; absent: not known. */
  readonly setpointMaxC?: number;
}

/** A box somebody described. */
export interface DescribedRig extends RigCommon {
  readonly kind: 'described';
  readonly elementW: number;
  readonly insulation: string;
  readonly insulationMm: number;
  readonly lidMm: number;
}

/** A rig that has run, with its identified figures and how well they are known. */
export interface IdentifiedRig extends RigCommon {
  readonly kind: 'identified';
  readonly figures: RigFigures;
  readonly spread: Spread;
}

/** Either kind of rig. */
export type Rig = DescribedRig | IdentifiedRig;

/** For a rig that has run: what identification leaves open, standard deviations as shares (judgement). */
export const IDENTIFIED_SPREAD: Spread = { watts: 0.03, capacity: 0.03, loss: 0.1 };

/** The hut kitchen's box, where nothing else is known: 28 L to the brim, 21 L poured in, 1 kW, a pump. */
export const USUAL_RIG: DescribedRig = {
  kind: 'described',
  waterLitres: 21,
  openingM2: 0.1,
  brimMm: 280,
  lowestMm: 120,
  lidOn: true,
  circulation: 'pumped',
  filmId: 'ldpe-zip',
  linerId: 'hdpe-liner',
  fillC: 12,
  roomC: 20,
  altitudeM: 0,
  elementW: 1000,
  insulation: 'pu',
  insulationMm: 30,
  lidMm: 30,
};

/** Wall and floor of a straight-sided square box, m2. */
export function wallM2(openingM2: number, brimMm: number): number {
  return openingM2 + (4 * Math.sqrt(openingM2) * brimMm) / 1000;
}

/** Air pressure where the rig stands, kPa. */
export function rigPressureKPa(rig: Rig): number {
  return airPressureKPa(rig.altitudeM);
}

/** The heat balance of a rig. @throws RangeError naming every figure that is not usable */
export function rigBalance(rig: Rig): Balance {
  const pressureKPa = rigPressureKPa(rig);
  if (rig.kind === 'identified') return balanceOfRig({ ...rig.figures, pressureKPa });
  const box: BoxFigures = {
    waterLitres: rig.waterLitres,
    watts: rig.elementW,
    openingM2: rig.openingM2,
    wallM2: wallM2(rig.openingM2, rig.brimMm),
    insulation: rig.insulation,
    insulationMm: rig.insulationMm,
    lidMm: rig.lidMm,
    roomC: rig.roomC,
    pressureKPa,
  };
  return balanceOfBox(box);
}

/** How well its figures are known. */
export function rigSpread(rig: Rig): Spread {
  return rig.kind === 'identified' ? rig.spread : DESCRIBED_SPREAD;
}

/** Time to temperature with its 99 % band; null where it never gets there. */
export function rigHeatUp(rig: Rig, balance: Balance, fromC: number, toC: number): TimeBand | null {
  return heatUpBand(balance, fromC, toC, rig.lidOn, rigSpread(rig));
}

/** What a rig does with a job, one way of running it; every figure with its unit. */
export interface RigSide {
  /** It reaches and holds the temperature. */
  readonly does: boolean;
  readonly highestC: number;
  /** Fill to bath temperature, 99 % band; null where it never gets there. */
  readonly heatUpLowS: number | null;
  readonly heatUpMiddleS: number | null;
  readonly heatUpHighS: number | null;
  readonly holdMeanW: number;
  readonly holdDutyRatio: number;
  readonly holdKWh: number;
  readonly totalKWh: number | null;
  /** In the cook's own money; null without a price. */
  readonly costInMoney: number | null;
  readonly evaporationLitresPerH: number;
  readonly evaporatedLitres: number | null;
  /** null: it lasts beyond the job. */
  readonly topUpEveryH: number | null;
  readonly topUpsCount: number;
  readonly topUpEachLitres: number;
}

/** What a rig does, lid on and off. */
export interface RigAnswer {
  readonly kind: Rig['kind'];
  readonly bathC: number;
  readonly holdH: number;
  readonly boilingC: number;
  readonly lidOn: RigSide;
  readonly lidOff: RigSide;
}

function sideOf(answer: Answer): RigSide {
  const { hold, heatUp, topUps } = answer;
  return {
    does: answer.does,
    highestC: answer.highestC,
    heatUpLowS: heatUp?.lowS ?? null,
    heatUpMiddleS: heatUp?.middleS ?? null,
    heatUpHighS: heatUp?.highS ?? null,
    holdMeanW: hold.meanW,
    holdDutyRatio: hold.dutyRatio,
    holdKWh: hold.kWh,
    totalKWh: answer.totalKWh,
    costInMoney: answer.cost,
    evaporationLitresPerH: hold.evaporationKgH,
    evaporatedLitres: answer.evaporatedKg,
    topUpEveryH: topUps.everyHours,
    topUpsCount: topUps.count,
    topUpEachLitres: topUps.litresEach,
  };
}

/** "Will this rig do it?" for holding `bathC` over `hours`. */
export function rigAnswer(rig: Rig, bathC: number, hours: number, pricePerKWh?: number): RigAnswer {
  const balance = rigBalance(rig);
  const spareLitres = Math.max(0.1, rig.waterLitres - rig.openingM2 * rig.lowestMm);
  const job = { fillC: rig.fillC, setpointC: bathC, hours, spareLitres };
  const priced = pricePerKWh === undefined ? job : { ...job, pricePerKWh };
  const [lidOn, lidOff] = willItDo(balance, priced, rigSpread(rig));
  return {
    kind: rig.kind,
    bathC,
    holdH: hours,
    boilingC: balance.boilingC,
    lidOn: sideOf(lidOn),
    lidOff: sideOf(lidOff),
  };
}

/** The highest temperature that the rig surely holds: with its losses at the top of their spread. */
export function surelyHeldC(rig: Rig, balance: Balance): number {
  const { watts, loss } = rigSpread(rig);
  const weak: Balance = {
    ...balance,
    watts: balance.watts * (1 - 2 * watts),
    loss: (waterC, lidOn) => {
      const whole = balance.loss(waterC, lidOn);
      return { ...whole, totalW: whole.totalW * (1 + 2 * loss) };
    },
  };
  return highestC(weak, rig.lidOn);
}

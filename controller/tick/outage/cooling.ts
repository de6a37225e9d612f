import { type Grid, meanC, stepProfile } from '../../../shared/food/conduction.ts';
import { lossShape } from '../control/identify/loss.ts';
import { type Described, DRY, describedJK, type RigState, STEAM } from '../control/identify/rig.ts';

/** One piece in the water: the middle case, and what it takes to warm it. */
export interface FoodInWater {
  readonly grid: Grid;
  readonly profile: readonly number[];
  readonly heatJK: number;
}

/** The bath as it was when the heat went. */
export interface Pond {
  readonly waterC: number;
  /** Rise that heat still on its way would have made, degC. */
  readonly underwayC: number;
  readonly food: readonly FoodInWater[];
  readonly rig: RigState;
  readonly described: Described;
  /** The room that the loss was identified against, degC. */
  readonly roomC: number;
}

/** One way it may have been. */
export interface Way {
  /** Loss as a multiple of what is known. */
  readonly lossFactor: number;
  readonly lidOff: boolean;
  readonly roomC: number;
  /** Nobody measures the room: the loss is held to what was seen at the beginning, whatever the room. */
  readonly roomUnknown: boolean;
  /** Heat capacity of the food as a multiple of what is known. */
  readonly foodFactor: number;
}

/** Water temperature every `STEP_S` from the moment the heat went, degC. */
export type Curve = readonly number[];

export const STEP_S = 60;
/** Nobody reckons with an outage longer than this, s. */
export const LONGEST_S = 12 * 3600;
/** Film about a bag in still water, W/(m2 K) (shared/food/film.ts, middle). */
const STILL_FILM = 110;
/** The pump warms the water while it runs, so the identified loss lacks it, W (judgement: 2 to 12). */
const PUMP_W = 7;
/** No box loses less, W/K: 10 cm of foam, lid on (common practice, no source). */
const LEAST_LOSS_WK = 0.4;

/** How the water cools without heat: its loss by the identified shapes, and what the food in it takes or gives. */
export function coolingCurve(pond: Pond, way: Way, untilS: number = LONGEST_S): Curve {
  const jk = describedJK(pond.described);
  let celsius = pond.waterC + pond.underwayC;
  let profiles = pond.food.map(({ profile }) => profile);
  const rate = lossAt(pond, way, jk);
  const curve = [celsius];
  for (let at = 0; at < untilS; at += STEP_S) {
    let foodJ = 0;
    const film = STILL_FILM;
    const now = celsius;
    profiles = profiles.map((profile, i) => {
      const { grid, heatJK } = pond.food[i]!;
      const after = stepProfile(grid, profile, { film, fromC: now, toC: now }, STEP_S);
      foodJ += way.foodFactor * heatJK * (meanC(grid, after) - meanC(grid, profile));
      return after;
    });
    celsius -= rate(celsius) * STEP_S + foodJ / jk;
    curve.push(celsius);
  }
  return curve;
}

/** Loss against water temperature, degC/s. */
function lossAt(pond: Pond, way: Way, jk: number): (celsius: number) => number {
  const { rig, roomC, waterC } = pond;
  const { mean } = rig.belief;
  const of = (celsius: number, room: number) => {
    const shape = lossShape(celsius, room);
    const on = mean[DRY]! * shape.dryK + mean[STEAM]! * shape.steamWM2 + PUMP_W / jk;
    const least = (LEAST_LOSS_WK / jk) * Math.max(0, celsius - room);
    const open = way.lidOff ? (rig.lid.mean + 2 * rig.lid.sd) * (shape.steamWM2 + shape.openWM2) : 0;
    return celsius <= room ? mean[DRY]! * shape.dryK : Math.max(least, way.lossFactor * on) + open;
  };
  if (!way.roomUnknown) return (celsius) => of(celsius, way.roomC);
  const pinned = of(waterC, roomC) / Math.max(1e-9, of(waterC, way.roomC));
  return (celsius) => of(celsius, way.roomC) * (Number.isFinite(pinned) && pinned > 0 ? pinned : 1);
}

/** When a curve comes down to a temperature, s; null where it does not. */
export function reaches(curve: Curve, celsius: number): number | null {
  if (curve[0]! <= celsius) return 0;
  for (let i = 1; i < curve.length; i++) {
    const [a, b] = [curve[i - 1]!, curve[i]!];
    if (b <= celsius) return (i - 1 + (a - celsius) / (a - b)) * STEP_S;
  }
  return null;
}

/** A curve at a moment, degC; held at its ends. */
export function curveAt(curve: Curve, atS: number): number {
  const place = Math.max(0, Math.min(curve.length - 1, atS / STEP_S));
  const low = Math.floor(place);
  const from = curve[low]!;
  const to = curve[Math.min(curve.length - 1, low + 1)]!;
  return from + (place - low) * (to - from);
}

/** How far the loss with the lid on may be off, as a standard deviation of its logarithm. */
export function lossSpread({ rig, waterC, roomC }: Pond): number {
  const { mean, cov } = rig.belief;
  const n = mean.length;
  const shape = lossShape(waterC, roomC);
  const on = mean[DRY]! * shape.dryK + mean[STEAM]! * shape.steamWM2;
  const variance =
    cov[DRY * n + DRY]! * shape.dryK ** 2 +
    cov[STEAM * n + STEAM]! * shape.steamWM2 ** 2 +
    2 * cov[DRY * n + STEAM]! * shape.dryK * shape.steamWM2;
  const share = Math.sqrt(Math.max(0, variance)) / Math.max(1e-9, on);
  return Math.hypot(share, MODEL_SD, rig.identifiedAtMs === null ? UNKNOWN_SD : 0);
}

/** One mass of water, a pump nobody weighed, a split of the loss that one temperature does not show: share of the loss. */
const MODEL_SD = 0.09;

/** Nobody saw this rig cool or warm: boxes of one description differ so much in what they lose (set on drawn rigs). */
const UNKNOWN_SD = 0.4;

/**
 * Bags in the simulated bath: gas and buoyancy, conduction inside, heat drawn from the water.
 *
 * Gas gathers on the upper side as a lens that insulates it; afloat, part of that side leaves the water. The
 * cold spot then moves up from the centre, as it does in a real floating bag.
 */
import { lieOf } from '../bag/buoyancy.ts';
import { dryAirMol, gasVolumeMl } from '../bag/gas.ts';
import { type BodyGrid, bodyMeanC, makeBody, stepBody } from './body.ts';
import type { PlantSpec } from './spec.ts';
import { type PlantBag, type PlantState, pumpRuns } from './state.ts';

/** Conductivity of the gas lens, W/(m K): still moist air (from memory: 0.027) plus 5 W/(m2 K) of radiation. */
const GAS_CONDUCTIVITY = 0.027;
const GAS_RADIATION = 5;
/** A gas pocket under film spreads no thinner than this (from memory). */
const THINNEST_LENS_M = 0.004;
/** Film from the exposed upper side to the air, W/(m2 K), lid off / under the lid with steam about it (from memory). */
const AIR_FILM = 9;
const STEAM_FILM = 25;
/** A real bag's gas stays bounded: it bursts or vents its seam at this volume. */
const MOST_GAS_ML = 20_000;

const grids = new WeakMap<PlantBag, BodyGrid>();

/** The bag's cells; kept beside the bag, not in it, since they follow from its figures. */
export function gridOf(bag: PlantBag): BodyGrid {
  let grid = grids.get(bag);
  if (!grid) {
    grid = makeBody(bag);
    grids.set(bag, grid);
  }
  return grid;
}

/** Heat capacity of the food, J/K: volume times k / alpha. */
export function foodHeatJK(bag: PlantBag): number {
  return (bag.massKg / bag.densityKgM3) * (bag.conductivity / bag.diffusivity);
}

/** What a step of the bags took from the water's layers and from the room, J. */
export interface BagHeat {
  topJ: number;
  bottomJ: number;
  roomJ: number;
}

/** Volume under water of everything in the bath, L. */
export function displacedLitres(state: PlantState): number {
  let litres = 0;
  for (const bag of state.bags) litres += bag.submergedFraction * bag.volumeL;
  return litres;
}

/** Where the upper side's heat comes from: two films in parallel, one to water, one to air. */
interface UpperSide {
  wetFilm: number;
  airFilm: number;
}
const upperSide: UpperSide = { wetFilm: 0, airFilm: 0 };

/** Two films in series; no lens, no resistance. */
function through(film: number, lensFilm: number): number {
  return lensFilm > 0 ? (film * lensFilm) / (film + lensFilm) : film;
}

/** Shares of the upper side behind gas and out of the water, and the films that follow. */
function faceUp(bag: PlantBag, sideM2: number, waterFilm: number, lidOn: boolean): UpperSide {
  const gasM3 = bag.gasMl * 1e-6;
  const behindGas = Math.min(1, gasM3 / (sideM2 * THINNEST_LENS_M));
  const lensFilm = behindGas > 0 ? (GAS_CONDUCTIVITY * sideM2 * behindGas) / gasM3 + GAS_RADIATION : 0;
  // Area of the cap of a sphere whose volume is the part above water.
  const exposed =
    bag.submergedFraction < 1 ? Math.min(1, Math.sqrt((4 / 3) * (1 - bag.submergedFraction))) : 0;
  const air = lidOn ? STEAM_FILM : AIR_FILM;
  // Gas gathers at the highest place, which is the part that stands out of the water.
  const exposedBehind = Math.min(exposed, behindGas);
  const wetBehind = behindGas - exposedBehind;
  upperSide.wetFilm = (1 - exposed - wetBehind) * waterFilm + wetBehind * through(waterFilm, lensFilm);
  upperSide.airFilm = (exposed - exposedBehind) * air + exposedBehind * through(air, lensFilm);
  return upperSide;
}

/** Gas, lift and the share under water, from the bag's present temperatures. */
function settle(spec: PlantSpec, state: PlantState, bag: PlantBag, waterC: number, dtS: number): void {
  if (bag.gasMlMin !== 0) {
    const change = dryAirMol((bag.gasMlMin * dtS) / 60, 20, spec.airPressureKPa);
    bag.gasMol = Math.max(0, bag.gasMol + change);
  }
  const gasC = (bag.profile[bag.profile.length - 1]! + waterC) / 2;
  const depthM = bag.afloat ? 0 : Math.max(0, state.levelMm / 1000 - bag.thicknessM);
  bag.gasMl = Math.min(MOST_GAS_ML, gasVolumeMl(bag.gasMol, gasC, spec.airPressureKPa, depthM));
  const lie = lieOf({
    foodKg: bag.massKg,
    foodDensity: bag.densityKgM3,
    ballastKg: bag.ballastKg,
    gasMl: bag.gasMl,
    waterC,
  });
  bag.volumeL = lie.volumeL;
  bag.afloat = lie.afloat;
  // In water shallower than the bag is thick, it stands out of the water whatever it weighs.
  bag.submergedFraction = Math.min(lie.submergedFraction, state.levelMm / 1000 / bag.thicknessM);
}

/** A film to surroundings of one temperature. */
export interface Side {
  film: number;
  celsius: number;
}

/** Conduction in one bag over a step, in water of `waterC`. Returns J that came from the room's air. */
function conduct(
  state: PlantState,
  bag: PlantBag,
  grid: BodyGrid,
  film: number,
  waterC: number,
  dtS: number,
): number {
  const sideM2 = ((bag.massKg / bag.densityKgM3) * (1 + bag.beta)) / bag.thicknessM;
  const underFilm = film * Math.min(1, 2 * bag.submergedFraction);
  const { wetFilm, airFilm } = faceUp(bag, sideM2, film, state.lidOn);
  const airC = headspaceC(state);
  const overFilm = wetFilm + airFilm;
  const overC = (wetFilm * waterC + airFilm * airC) / overFilm;
  stepBody(grid, bag.profile, underFilm, waterC, overFilm, overC, dtS);
  // Under the lid the air's heat is the water's own, brought by its steam.
  const upper = bag.profile[bag.profile.length - 1]!;
  return state.lidOn ? 0 : airFilm * sideM2 * (airC - upper) * dtS;
}

function stepBag(
  spec: PlantSpec,
  state: PlantState,
  bag: PlantBag,
  film: number,
  dtS: number,
  heat: BagHeat,
): void {
  const bottomShare = bag.afloat ? 0 : spec.bottomShare;
  const waterC = bottomShare * state.bottomC + (1 - bottomShare) * state.topC;
  const grid = gridOf(bag);
  settle(spec, state, bag, waterC, dtS);
  const before = bodyMeanC(grid, bag.profile);
  const fromAir = conduct(state, bag, grid, film, waterC, dtS);
  const fromWater = foodHeatJK(bag) * (bodyMeanC(grid, bag.profile) - before) - fromAir;
  heat.bottomJ += bottomShare * fromWater;
  heat.topJ += (1 - bottomShare) * fromWater;
  heat.roomJ += fromAir;
}

/** Air between water and lid, C: near the water with the lid on, the room's with it off. */
export function headspaceC(state: PlantState): number {
  return state.lidOn ? state.ambientC + 0.9 * (state.topC - state.ambientC) : state.ambientC;
}

/** Steps every bag by `dtS` seconds and says in `heat` where its heat came from. */
export function stepBags(spec: PlantSpec, state: PlantState, dtS: number, heat: BagHeat): void {
  heat.topJ = 0;
  heat.bottomJ = 0;
  heat.roomJ = 0;
  const film = pumpRuns(state) ? spec.bagFilm : spec.bagFilmStill;
  for (const bag of state.bags) stepBag(spec, state, bag, film, dtS, heat);
}

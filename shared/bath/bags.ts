/**
 * Bags in the simulated bath: conduction inside, gas and buoyancy outside, heat drawn from the water.
 *
 * A bag is two half bodies that meet at the centre plane. While both sides feel the same water one profile
 * stands for both. Gas gathers on the upper side as a lens that insulates it; afloat, part of that side
 * leaves the water. Then the halves part and share only their centre node (exact for a slab, near for the
 * rest), so the cold spot moves up, as it does in a real floating bag.
 */
import { lieOf } from '../bag/buoyancy.ts';
import { dryAirMol, gasVolumeMl } from '../bag/gas.ts';
import { type Grid, makeGrid, meanC, stepProfileInto } from '../food/conduction.ts';
import type { PlantSpec } from './spec.ts';
import type { PlantBag, PlantState } from './state.ts';

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

const grids = new WeakMap<PlantBag, Grid>();

/** The bag's grid for `shared/food` conduction; kept beside the bag, not in it, since it follows from it. */
export function gridOf(bag: PlantBag): Grid {
  let grid = grids.get(bag);
  if (!grid) {
    grid = makeGrid(bag);
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
  const profile = bag.upper ?? bag.lower;
  const gasC = (profile[profile.length - 1]! + waterC) / 2;
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

/**
 * Steps the two halves of a body whose sides feel different surroundings. Each half is solved by itself with
 * no flow through the centre plane; the centre node, which both own half of, is then made one.
 */
export function stepHalves(
  grid: Grid,
  lower: number[],
  upper: number[],
  under: Side,
  over: Side,
  dtS: number,
): void {
  stepProfileInto(grid, lower, lower, under.film, under.celsius, under.celsius, dtS);
  stepProfileInto(grid, upper, upper, over.film, over.celsius, over.celsius, dtS);
  const centre = (lower[0]! + upper[0]!) / 2;
  lower[0] = centre;
  upper[0] = centre;
}

const under: Side = { film: 0, celsius: 0 };
const over: Side = { film: 0, celsius: 0 };

/** Conduction in one bag over a step, in water of `waterC`. Returns J that came from the room's air. */
function conduct(
  state: PlantState,
  bag: PlantBag,
  grid: Grid,
  film: number,
  waterC: number,
  dtS: number,
): number {
  const lowerFilm = film * Math.min(1, 2 * bag.submergedFraction);
  const upper = bag.upper;
  if (upper === null) {
    stepProfileInto(grid, bag.lower, bag.lower, lowerFilm, waterC, waterC, dtS);
    return 0;
  }
  const sideM2 = ((bag.massKg / bag.densityKgM3) * (1 + bag.beta)) / bag.thicknessM;
  const { wetFilm, airFilm } = faceUp(bag, sideM2, film, state.lidOn);
  const airC = headspaceC(state);
  under.film = lowerFilm;
  under.celsius = waterC;
  over.film = wetFilm + airFilm;
  over.celsius = (wetFilm * waterC + airFilm * airC) / over.film;
  stepHalves(grid, bag.lower, upper, under, over, dtS);
  // Under the lid the air's heat is the water's own, brought by its steam.
  return state.lidOn ? 0 : airFilm * sideM2 * (airC - upper[upper.length - 1]!) * dtS;
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
  if (bag.upper === null && (bag.gasMl > 1 || bag.submergedFraction < 1)) bag.upper = bag.lower.slice();
  const before = bagMeanC(grid, bag);
  const fromAir = conduct(state, bag, grid, film, waterC, dtS);
  const fromWater = foodHeatJK(bag) * (bagMeanC(grid, bag) - before) - fromAir;
  heat.bottomJ += bottomShare * fromWater;
  heat.topJ += (1 - bottomShare) * fromWater;
  heat.roomJ += fromAir;
}

/** Mean temperature of the food in a bag, C: what its heat content goes by. */
export function bagMeanC(grid: Grid, bag: PlantBag): number {
  const lower = meanC(grid, bag.lower);
  return bag.upper === null ? lower : (lower + meanC(grid, bag.upper)) / 2;
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
  const film = state.pumpOn && state.mainsOn ? spec.bagFilm : spec.bagFilmStill;
  for (const bag of state.bags) stepBag(spec, state, bag, film, dtS, heat);
}

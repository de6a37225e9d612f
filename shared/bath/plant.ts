/**
 * The simulated bath: two layers of water, element, wall, lid, evaporation, bags and probes.
 *
 * Entirely determined by (spec, seed, inputs, events). It is the outside world for tests and the demo, and is
 * made richer than what a controller would assume of its plant; see README.md for the models and their limits.
 */
import { carrierRate, shahRate } from '../water/evaporation.ts';
import { boilingPointC } from '../water/saturation.ts';
import { convectionFilm, radiationFilm } from '../water/surface.ts';
import { quickDensity, quickLatentJKg, quickSaturationKPa, quickSpecificHeat } from '../water/table.ts';
import { type BagHeat, displacedLitres, headspaceC, stepBags } from './bags.ts';
import { countUncovered, type ElementHeat, elementPowerW, stepElement, wanderMains } from './element.ts';
import { stepProbes } from './probes.ts';
import type { PlantSpec } from './spec.ts';
import { type PlantState, pumpRuns } from './state.ts';

export { applyPlantEvent, type BagIn, type PlantEvent } from './events.ts';
export { type ProbeReading, readLevelSwitch, readProbe } from './probes.ts';
export { hutSpec, type PlantSpec, type ProbeSpec, specFaults } from './spec.ts';
export {
  newPlant,
  PLANT_LAYOUT,
  type PlantState,
  type ProbeFault,
  type ProbeId,
  type SwitchFault,
} from './state.ts';
export { type BagTruth, type PlantTruth, truth } from './truth.ts';

/** What the rig does to the bath in a step. */
export interface PlantInput {
  /** the regulating switch is told to close */
  heat: boolean;
  /** the guard switch in series is told to close; default: as `heat` */
  guard?: boolean;
  /** length of the step, s, 0 to 86 400; steps over 1 s are divided */
  dtS: number;
}

/** Water that no leak or steam takes away: what wets the floor of the box, kg. */
const LAST_WATER_KG = 0.2;
const QUIET_AIR_MS = 0.15;
const LONGEST_STEP_S = 86_400;

const elementHeat: ElementHeat = { topJ: 0, bottomJ: 0, airJ: 0 };
const bagHeat: BagHeat = { topJ: 0, bottomJ: 0, roomJ: 0 };

let lastPressureKPa = Number.NaN;
let lastBoilingC = 100;
/** Boiling point at the rig's air pressure; remembered, since a rig does not move. */
function boilsAtC(pressureKPa: number): number {
  if (pressureKPa !== lastPressureKPa) {
    lastPressureKPa = pressureKPa;
    lastBoilingC = boilingPointC(pressureKPa);
  }
  return lastBoilingC;
}

/** Evens out the two layers as the pump, or without it their own density, drives them. Exact for any step. */
function mixLayers(spec: PlantSpec, state: PlantState, topJK: number, bottomJK: number, dtS: number): void {
  let litresMin = spec.stillLMin;
  if (pumpRuns(state)) litresMin = spec.pumpLMin;
  else if (state.bottomC > state.topC) litresMin = spec.overturnLMin;
  const exchangeWK = (litresMin / 60) * 4180;
  const evened = 1 - Math.exp(-exchangeWK * dtS * (1 / topJK + 1 / bottomJK));
  const moved = ((state.topC - state.bottomC) * evened * topJK * bottomJK) / (topJK + bottomJK);
  state.topC -= moved / topJK;
  state.bottomC += moved / bottomJK;
}

/** Heat from the layers through the wall; the wall's own warmth lags. Returns J taken from [top, bottom]. */
function stepWall(spec: PlantSpec, state: PlantState, dtS: number): [number, number] {
  const fill = state.levelMm / spec.brimMm;
  const inner = spec.wallInnerWK * (0.2 + 0.8 * Math.min(1, fill));
  const outer = 1 / (1 / spec.wallUaWK - 1 / spec.wallInnerWK);
  const bottomWK = inner * (0.3 + 0.7 * spec.bottomShare);
  const topWK = inner - bottomWK;
  const start = state.wallC;
  const together = inner + outer;
  const balanceC = (topWK * state.topC + bottomWK * state.bottomC + outer * state.ambientC) / together;
  const settled = 1 - Math.exp((-together * dtS) / spec.wallHeatJK);
  // Mean of the exponential over the step, so that what leaves the water is what wall and room receive.
  const meanC = balanceC + ((start - balanceC) * settled * spec.wallHeatJK) / (together * dtS);
  state.wallC = start + (balanceC - start) * settled;
  state.sums.roomJ += outer * (meanC - state.ambientC) * dtS;
  return [topWK * (state.topC - meanC) * dtS, bottomWK * (state.bottomC - meanC) * dtS];
}

/** Heat through lid or open surface, J; and the water that evaporates, kg, on the state's account. */
function stepSurface(spec: PlantSpec, state: PlantState, dtS: number): [heatJ: number, vapourKg: number] {
  const pressure = spec.airPressureKPa;
  const waterKPa = quickSaturationKPa(state.topC);
  const airKPa = Math.min(0.9 * pressure, quickSaturationKPa(state.ambientC) * spec.relativeHumidity);
  const latent = quickLatentJKg(state.topC);
  let perHour = shahRate(state.topC, waterKPa, state.ambientC, airKPa, pressure);
  if (state.airSpeedMS > QUIET_AIR_MS) {
    perHour = Math.max(perHour, carrierRate(waterKPa - airKPa, state.airSpeedMS, latent));
  }
  const share = state.lidOn ? spec.lidEvaporationShare : 1;
  const wanted = (perHour * spec.evaporationFactor * share * spec.openingM2 * dtS) / 3600;
  const vapourKg = Math.max(0, Math.min(wanted, state.waterKg - LAST_WATER_KG));
  let film = spec.lidUaWK;
  if (!state.lidOn) {
    const lengthM = Math.sqrt(spec.openingM2) / 4;
    const quiet = convectionFilm(state.topC, state.ambientC, lengthM);
    const forced = state.airSpeedMS > QUIET_AIR_MS ? 5.7 + 3.8 * state.airSpeedMS : 0;
    film = (Math.max(quiet, forced) + radiationFilm(state.topC, state.ambientC)) * spec.openingM2;
  }
  const heatJ = film * (state.topC - state.ambientC) * dtS;
  state.sums.roomJ += heatJ;
  state.sums.evaporationJ += vapourKg * latent;
  return [heatJ, vapourKg];
}

/** Takes water away from the upper layer; the lower one gives it back its share. */
function loseWater(spec: PlantSpec, state: PlantState, kg: number): void {
  if (kg <= 0) return;
  const left = state.waterKg - kg;
  const topKg = (1 - spec.bottomShare) * state.waterKg - kg;
  const risen = spec.bottomShare * kg;
  if (topKg + risen > 0) {
    state.topC = (Math.max(0, topKg) * state.topC + risen * state.bottomC) / (Math.max(0, topKg) + risen);
  }
  state.waterKg = left;
}

/** What is over the boiling point leaves as steam. */
function boilOff(spec: PlantSpec, state: PlantState, topJK: number, bottomJK: number): void {
  const boilC = boilsAtC(spec.airPressureKPa);
  const over = Math.max(0, state.topC - boilC) * topJK + Math.max(0, state.bottomC - boilC) * bottomJK;
  state.boiling = over > 0;
  if (over <= 0) return;
  state.topC = Math.min(state.topC, boilC);
  state.bottomC = Math.min(state.bottomC, boilC);
  const steam = Math.max(0, Math.min(over / quickLatentJKg(boilC), state.waterKg - LAST_WATER_KG));
  state.sums.evaporationJ += over;
  state.sums.evaporatedKg += steam;
  state.waterKg -= steam;
}

/** Leak, brim and level. A leak takes from the bottom; the layers keep their shares. */
function stepLevel(spec: PlantSpec, state: PlantState, dtS: number): void {
  if (state.leakMlMin > 0) {
    const wanted = (state.leakMlMin * dtS * quickDensity(state.bottomC)) / 6e7;
    const lost = Math.max(0, Math.min(wanted, state.waterKg - LAST_WATER_KG));
    const share = spec.bottomShare;
    const bottomKg = share * (state.waterKg - lost);
    state.bottomC =
      (Math.max(0, bottomKg - (1 - share) * lost) * state.bottomC + (1 - share) * lost * state.topC) /
      bottomKg;
    state.waterKg -= lost;
    state.sums.leakedKg += lost;
  }
  const meanC = spec.bottomShare * state.bottomC + (1 - spec.bottomShare) * state.topC;
  const density = quickDensity(meanC);
  const brimLitres = spec.openingM2 * spec.brimMm;
  const over = (state.waterKg / density) * 1000 + displacedLitres(state) - brimLitres;
  if (over > 0) {
    const spilled = Math.max(0, Math.min((over * density) / 1000, state.waterKg - LAST_WATER_KG));
    loseWater(spec, state, spilled);
    state.sums.spilledKg += spilled;
  }
  state.waterLitres = (state.waterKg / density) * 1000;
  state.levelMm = Math.min(spec.brimMm, (state.waterLitres + displacedLitres(state)) / spec.openingM2);
}

function stepRoom(spec: PlantSpec, state: PlantState, dtS: number): void {
  const swing = spec.ambientSwingC * Math.sin((2 * Math.PI * state.timeS) / 86_400);
  const wanted = state.ambientBaseC - swing;
  // A room takes minutes to follow a door or a stove.
  state.ambientC += (wanted - state.ambientC) * (1 - Math.exp(-dtS / 600));
}

function stepOnce(spec: PlantSpec, state: PlantState, heat: boolean, guard: boolean, dtS: number): void {
  wanderMains(spec, state, dtS);
  stepRoom(spec, state, dtS);
  const topJK = (1 - spec.bottomShare) * state.waterKg * quickSpecificHeat(state.topC);
  const bottomJK = spec.bottomShare * state.waterKg * quickSpecificHeat(state.bottomC);
  stepElement(spec, state, elementPowerW(spec, state, heat, guard), headspaceC(state), dtS, elementHeat);
  state.sums.roomJ += elementHeat.airJ;
  const pumpJ = pumpRuns(state) ? spec.pumpWatts * dtS : 0;
  state.sums.pumpJ += pumpJ;
  const [wallTopJ, wallBottomJ] = stepWall(spec, state, dtS);
  const [surfaceJ, vapourKg] = stepSurface(spec, state, dtS);
  stepBags(spec, state, dtS, bagHeat);
  state.sums.foodJ += bagHeat.topJ + bagHeat.bottomJ + bagHeat.roomJ;
  state.sums.roomJ -= bagHeat.roomJ;
  const vapourJ = vapourKg * quickLatentJKg(state.topC);
  state.topC += (elementHeat.topJ - wallTopJ - surfaceJ - vapourJ - bagHeat.topJ) / topJK;
  state.bottomC += (elementHeat.bottomJ + pumpJ - wallBottomJ - bagHeat.bottomJ) / bottomJK;
  mixLayers(spec, state, topJK, bottomJK, dtS);
  boilOff(spec, state, topJK, bottomJK);
  loseWater(spec, state, vapourKg);
  state.sums.evaporatedKg += vapourKg;
  stepLevel(spec, state, dtS);
  countUncovered(spec, state, dtS);
  if (spec.cutOutC !== null && Math.max(state.topC, state.bottomC) >= spec.cutOutC)
    state.cutOutTripped = true;
  state.timeS += dtS;
}

/**
 * Moves the bath on by `input.dtS` seconds; changes `state` in place. Probes convert once, at the end.
 * @throws RangeError when dtS is not a number from 0 to 86 400
 */
export function stepPlant(spec: PlantSpec, state: PlantState, input: PlantInput): void {
  const { heat, dtS } = input;
  if (!(dtS >= 0 && dtS <= LONGEST_STEP_S)) {
    throw new RangeError(`dtS is ${dtS}; expected seconds from 0 to ${LONGEST_STEP_S}`);
  }
  if (dtS === 0) return;
  const steps = Math.ceil(dtS);
  const guard = input.guard ?? heat;
  for (let i = 0; i < steps; i++) stepOnce(spec, state, heat, guard, dtS / steps);
  stepProbes(spec, state, dtS);
}

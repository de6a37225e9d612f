/**
 * Random rigs for campaigns: makeshift baths as people build them, every figure drawn.
 * The spans are judgement (no source) unless a line says otherwise; they are meant to be wider than life.
 */
import { logUniformBetween, newRandom, normal, type Random, uniformBetween } from '../units/random.ts';
import { airPressureKPa } from '../water/saturation.ts';
import type { PlantSpec, ProbeSpec } from './spec.ts';

/** Accuracy of a one-wire sensor from -10 to 85 C (data sheet): +-0.5 C, taken as two standard deviations. */
const PROBE_OFFSET_SD_C = 0.25;
/** Mean deviation of the evaporation correlation from 11 sources of data (Shah 2002): 18 %. */
const EVAPORATION_SD = 0.18;

function bounded(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}

function drawProbe(random: Random, heightMm: number, topShare: number): ProbeSpec {
  return {
    lagS: logUniformBetween(random, 2, 25),
    noiseSdC: logUniformBetween(random, 0.01, 0.12),
    stepC: 0.0625,
    offsetC: bounded(PROBE_OFFSET_SD_C * normal(random), -0.5, 0.5),
    topShare: bounded(topShare + uniformBetween(random, -0.15, 0.15), 0, 1),
    heightMm,
  };
}

/** Box, element and probes by height: what stands over what must hold in any rig that is not already broken. */
function drawHeights(random: Random, litres: number) {
  const fillMm = uniformBetween(random, 190, 300);
  const elementBottomMm = uniformBetween(random, 10, 40);
  const elementTopMm = elementBottomMm + uniformBetween(random, 30, 60);
  return {
    openingM2: litres / fillMm,
    brimMm: fillMm * uniformBetween(random, 1.3, 1.7),
    elementBottomMm,
    elementTopMm,
    levelSwitchMm: elementTopMm + uniformBetween(random, 20, 45),
  };
}

function drawWall(random: Random, openingM2: number, fillMm: number) {
  // Floor and four walls of a square box, and a U from a good cool box (0.5) to a bare bucket in a towel (4).
  const areaM2 = openingM2 + 4 * Math.sqrt(openingM2) * (fillMm / 1000) * 1.2;
  const wallUaWK = areaM2 * logUniformBetween(random, 0.5, 4);
  return {
    wallUaWK,
    wallInnerWK: wallUaWK + areaM2 * logUniformBetween(random, 40, 200),
    wallHeatJK: areaM2 * logUniformBetween(random, 2000, 12_000),
    lidUaWK: openingM2 * logUniformBetween(random, 0.7, 6),
    lidEvaporationShare: logUniformBetween(random, 0.02, 0.15),
  };
}

function drawElement(random: Random, litres: number) {
  const elementWatts = bounded(litres * logUniformBetween(random, 25, 110), 500, 3000);
  return {
    elementWatts,
    elementHeatJK: elementWatts * logUniformBetween(random, 0.3, 1.2),
    elementFilmWK: elementWatts / uniformBetween(random, 12, 45),
    elementDryWK: elementWatts * 0.0006,
    elementAreaM2: elementWatts * uniformBetween(random, 1.2e-5, 3e-5),
    elementBurnOutC: uniformBetween(random, 750, 950),
    deadTimeS: logUniformBetween(random, 2, 25),
  };
}

function drawFlow(random: Random) {
  return {
    plumeTopShare: uniformBetween(random, 0.45, 0.7),
    plumeTopShareStill: uniformBetween(random, 0.72, 0.9),
    bottomShare: uniformBetween(random, 0.25, 0.5),
    pumpLMin: logUniformBetween(random, 3, 20),
    overturnLMin: logUniformBetween(random, 1.5, 6),
    stillLMin: logUniformBetween(random, 0.01, 0.05),
    pumpWatts: uniformBetween(random, 2, 12),
    bagFilm: logUniformBetween(random, 150, 500),
    bagFilmStill: logUniformBetween(random, 60, 140),
  };
}

function drawRoom(random: Random) {
  return {
    evaporationFactor: bounded(1 + EVAPORATION_SD * normal(random), 0.5, 1.6),
    airSpeedMS: uniformBetween(random, 0, 0.3),
    ambientC: uniformBetween(random, 4, 32),
    ambientSwingC: uniformBetween(random, 0, 5),
    relativeHumidity: uniformBetween(random, 0.25, 0.85),
    airPressureKPa: airPressureKPa(uniformBetween(random, 0, 2500)),
    // EN 50160 (from memory): 230 V within 10 % for 95 % of the week; drawn inside 6 %.
    mainsVolts: uniformBetween(random, 216, 244),
    mainsSdVolts: uniformBetween(random, 0.5, 5),
  };
}

/**
 * A rig drawn at random: equal seeds give equal rigs, and every rig can be simulated.
 * @param seed any finite number
 */
export function drawRig(seed: number): PlantSpec {
  const random = newRandom(seed);
  const litres = logUniformBetween(random, 10, 45);
  const heights = drawHeights(random, litres);
  const wall = drawWall(random, heights.openingM2, litres / heights.openingM2);
  const flow = drawFlow(random);
  const { bottomShare } = flow;
  // The bath's probe above the element, the second one below it: as a careful builder hangs them.
  const bathHeight = heights.elementTopMm + uniformBetween(random, 5, 18);
  return {
    litres,
    ...heights,
    ...wall,
    ...flow,
    ...drawElement(random, litres),
    ...drawRoom(random),
    cutOutC: null,
    probes: {
      bath: drawProbe(random, bathHeight, 1 - bottomShare),
      second: drawProbe(random, heights.elementTopMm * 0.7, 0.25),
      core: drawProbe(random, 0, 0),
      ambient: { ...drawProbe(random, 0, 0), lagS: uniformBetween(random, 60, 240) },
    },
  };
}

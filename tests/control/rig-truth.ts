import {
  applyPlantEvent,
  newPlant,
  type PlantSpec,
  readProbe,
  stepPlant,
  truth,
} from '../../shared/bath/plant.ts';

/** What a rig is really like, measured on the plant itself with noise, wander and weather switched off. */
export interface RigTruth {
  readonly watts: number;
  readonly heatJK: number;
  /** Mean and standard deviation of the delay from switch to reading, s. */
  readonly delayS: number;
  readonly spreadS: number;
  readonly lossLidOnW: number;
  readonly lossLidOffW: number;
}

const PULSE_S = 20;
const WATCH_S = 1500;

function quiet(spec: PlantSpec): PlantSpec {
  const bath = { ...spec.probes.bath, noiseSdC: 0, stepC: 0, offsetC: 0 };
  return { ...spec, mainsSdVolts: 0, ambientSwingC: 0, probes: { ...spec.probes, bath } };
}

/**
 * Moments of the response of the reading to a pulse of heat in a bath without loss: the pulse's own mean and variance
 * taken off, they are mean and variance of the delay (average residence time; Astrom & Hagglund 1995, from memory).
 */
function pulse(spec: PlantSpec, wallHeatJK: number): { delayS: number; spreadS: number; riseC: number } {
  const closed = { wallUaWK: 0.011, lidUaWK: 0, lidEvaporationShare: 0, pumpWatts: 0, mainsVolts: 230 };
  const still = { ...quiet(spec), ...closed, ambientC: 40, wallHeatJK };
  const plant = newPlant(still, 1, 40);
  let before = 40;
  let sum = 0;
  let first = 0;
  let second = 0;
  for (let i = 0; i < WATCH_S; i++) {
    stepPlant(still, plant, { heat: i < PULSE_S, dtS: 1 });
    const reading = readProbe(still, plant).celsius!;
    const moved = reading - before;
    before = reading;
    sum += moved;
    first += moved * (i + 0.5);
    second += moved * (i + 0.5) ** 2;
  }
  const mean = first / sum;
  const variance = second / sum - mean * mean - PULSE_S ** 2 / 12;
  return { delayS: mean - PULSE_S / 2, spreadS: Math.sqrt(Math.max(0, variance)), riseC: sum };
}

/** Heat that leaves the rig at a water temperature, less what the pump adds, W: kept there by hand until the wall is warm. */
function lossW(spec: PlantSpec, litres: number, waterC: number, lidOn: boolean): number {
  const still = { ...quiet(spec), litres };
  const plant = newPlant(still, 1, waterC);
  if (!lidOn) applyPlantEvent(still, plant, { type: 'lid', on: false });
  const gone = () => plant.sums.roomJ + plant.sums.evaporationJ - plant.sums.pumpJ;
  let before = 0;
  for (let i = 0; i < 2400; i++) {
    if (i === 1200) before = gone();
    stepPlant(still, plant, { heat: false, dtS: 1 });
    const low = waterC - truth(still, plant).waterC;
    plant.topC += low;
    plant.bottomC += low;
  }
  return (gone() - before) / 1200;
}

/** The truth about a rig that holds `litres` at `waterC`. */
export function rigTruth(spec: PlantSpec, litres: number, waterC: number): RigTruth {
  const { delayS, spreadS } = pulse(spec, 100);
  const { riseC } = pulse(spec, spec.wallHeatJK);
  return {
    watts: spec.elementWatts * (spec.mainsVolts / 230) ** 2,
    heatJK: (PULSE_S * spec.elementWatts) / riseC,
    delayS,
    spreadS,
    lossLidOnW: lossW(spec, litres, waterC, true),
    lossLidOffW: lossW(spec, litres, waterC, false),
  };
}

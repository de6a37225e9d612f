import type { Fitted } from '../../controller/rig/simulated.ts';
import { drawRig } from '../../shared/bath/draw.ts';
import type { PlantSpec } from '../../shared/bath/plant.ts';
import {
  logUniformBetween,
  newRandom,
  normal,
  type Random,
  uniform,
  uniformBetween,
} from '../../shared/units/random.ts';
import { shahRate } from '../../shared/water/evaporation.ts';
import { quickLatentJKg, quickSaturationKPa } from '../../shared/water/table.ts';
import type { ConfigInput } from '../../shared/wire/config.ts';

/** What a rig has: everything the trade would ask for, or the least that heats water. */
export type RigClass = 'full' | 'simple';

/** One drawn rig with the cook that runs on it. */
export interface Scene {
  readonly seed: number;
  readonly rigClass: RigClass;
  readonly spec: PlantSpec;
  readonly fitted: Fitted;
  readonly config: ConfigInput;
  readonly setpointC: number;
  /** The room is measured. */
  readonly ambientProbe: boolean;
  readonly random: Random;
}

/** Loss with the lid on at a temperature, W: what a rig needs just to hold it. */
function holdW(spec: PlantSpec, waterC: number): number {
  const over = waterC - spec.ambientC;
  const airKPa = quickSaturationKPa(spec.ambientC) * spec.relativeHumidity;
  const rate = shahRate(waterC, quickSaturationKPa(waterC), spec.ambientC, airKPa, spec.airPressureKPa);
  const steamW = (rate * spec.openingM2 * quickLatentJKg(waterC)) / 3600;
  return (spec.wallUaWK + spec.lidUaWK) * over + steamW * spec.evaporationFactor * spec.lidEvaporationShare;
}

/** A rig holds its setpoint with at most this share of its heat: no cook sets one that it cannot reach. */
const MOST_DUTY = 0.65;

/** At the low end of the supply, with some to spare. */
const canHold = (spec: PlantSpec, waterC: number) =>
  holdW(spec, waterC) <= MOST_DUTY * spec.elementWatts * 0.88;

function drawSetpoint(random: Random, spec: PlantSpec): number {
  let setpointC = uniformBetween(random, 57.5, 85);
  while (setpointC > 58 && !canHold(spec, setpointC)) setpointC -= 1;
  return Math.round(setpointC * 2) / 2;
}

/** Draws a rig and what its owner wrote about it: litres by the mark, watts off the label. */
export function drawScene(seed: number, rigClass: RigClass): Scene {
  // A rig that cannot hold the lowest setpoint is no rig anybody cooks on: the next one is drawn instead.
  let drawn = drawRig(seed);
  for (let next = 1; !canHold(drawn, 58); next++) drawn = drawRig(seed + 0.001 * next);
  const random = newRandom(seed + 0.5);
  const full = rigClass === 'full';
  const spec: PlantSpec = { ...drawn, levelSwitchMm: full ? drawn.levelSwitchMm : null };
  // A litre over a square metre stands a millimetre high.
  const fillMm = spec.litres / spec.openingM2;
  const spareLitres = ((fillMm - spec.elementTopMm) / fillMm) * spec.litres;
  const litres = spec.litres * Math.exp(0.05 * normal(random));
  const kind = uniform(random);
  const relay = kind < 0.6 ? 'solid-state' : kind < 0.85 ? 'relay' : 'contactor';
  return {
    seed,
    rigClass,
    spec,
    fitted: { secondProbe: full, switches: full ? 2 : 1, contacts: uniform(random) < 0.3 },
    config: {
      bath: {
        litres: Math.max(3, litres),
        elementWatts: Math.round(spec.elementWatts / 10) * 10,
        spareLitres: spareLitres * uniformBetween(random, 0.85, 1),
      },
      control: { relay },
      safety: { switches: full ? 2 : 1, secondProbe: full, levelSwitch: full },
    },
    setpointC: drawSetpoint(random, spec),
    ambientProbe: uniform(random) < 0.7,
    random,
  };
}

/** A size between two bounds of one sign, all magnitudes alike. */
export const sized = (random: Random, low: number, high: number) => logUniformBetween(random, low, high);
/** Either sign. */
export const signed = (random: Random, low: number, high: number) =>
  (uniform(random) < 0.5 ? -1 : 1) * logUniformBetween(random, low, high);

/** Rigs and small helpers that the bath tests share. */
import {
  applyPlantEvent,
  type BagIn,
  hutSpec,
  type PlantSpec,
  type PlantState,
  stepPlant,
} from '../../shared/bath/plant.ts';

/** The hut's rig with everything switched off that a closed form does not have: no loss, no lag, no noise. */
export function idealSpec(changes: Partial<PlantSpec> = {}): PlantSpec {
  const exact = { lagS: 0, noiseSdC: 0, stepC: 0, offsetC: 0, topShare: 0.5, heightMm: 0 };
  return {
    ...hutSpec(),
    airPressureKPa: 101.325,
    elementHeatJK: 10,
    deadTimeS: 0,
    pumpLMin: 200,
    pumpWatts: 0,
    wallUaWK: 0.01,
    wallInnerWK: 0.02,
    wallHeatJK: 100,
    lidUaWK: 0,
    lidEvaporationShare: 0,
    ambientSwingC: 0,
    mainsSdVolts: 0,
    probes: { bath: exact, second: exact, core: exact, ambient: exact },
    ...changes,
  };
}

/** A 2 kg piece of average meat, 70 mm thick. */
export function shoulder(bagId: string, changes: Partial<BagIn> = {}): BagIn {
  return {
    type: 'bag-in',
    bagId,
    thicknessMm: 70,
    massKg: 2,
    beta: 0.6,
    diffusivity: 1.3e-7,
    conductivity: 0.48,
    startC: 4,
    ...changes,
  };
}

/** Steps for `seconds`, a second at a time, with the heat as `heat` says from the state. */
export function runFor(
  spec: PlantSpec,
  state: PlantState,
  seconds: number,
  heat: boolean | ((state: PlantState) => boolean) = false,
): void {
  for (let i = 0; i < seconds; i++) {
    stepPlant(spec, state, { heat: typeof heat === 'boolean' ? heat : heat(state), dtS: 1 });
  }
}

/** A plain on-off hand at the switch, that looks at the true upper layer. */
export function holding(setpointC: number): (state: PlantState) => boolean {
  return (state) => state.topC < setpointC;
}

/** Lets several things happen at once. */
export function events(
  spec: PlantSpec,
  state: PlantState,
  ...list: Parameters<typeof applyPlantEvent>[2][]
): void {
  for (const event of list) applyPlantEvent(spec, state, event);
}

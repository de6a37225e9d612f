/**
 * Everything that changes in a simulated bath. Plain data: written as JSON and read back, it goes on to the
 * same bytes.
 */
import { newRandom, type Random } from '../units/random.ts';
import { quickDensity } from '../water/table.ts';
import { type PlantSpec, specFaults } from './spec.ts';

/** What can be wrong with a probe. What a reader sees of it on the wire is less: see `readProbe`. */
export type ProbeFault =
  | 'none'
  | 'absent'
  | 'intermittent'
  | 'stuck'
  | 'short'
  | 'power-on'
  | 'noisy'
  | 'jumping'
  | 'offset'
  | 'drift'
  | 'out-of-water';

export type ProbeId = 'bath' | 'second' | 'core' | 'ambient';

export interface ProbeState {
  /** what the sensing tip has reached, C */
  tipC: number;
  fault: ProbeFault;
  /** size of the fault: C for offset, noisy, jumping; C per hour for drift; share lost for intermittent */
  size: number;
  /** added so far by drift, C */
  driftedC: number;
  /** the last conversion, C; null when the probe did not answer */
  reading: number | null;
}

/** Where a switch of the heat circuit is held whatever it is told. */
export type SwitchFault = 'none' | 'welded' | 'open';

export interface PlantBag {
  bagId: string;
  thicknessM: number;
  beta: number;
  diffusivity: number;
  conductivity: number;
  massKg: number;
  densityKgM3: number;
  ballastKg: number;
  /** dry air in the pocket, mol, and what is added each minute, mL at 20 C and the room's pressure */
  gasMol: number;
  gasMlMin: number;
  /** temperatures through the food from the underside to the upper side, C */
  profile: number[];
  /** as of the last step: gas, outer volume, share under water */
  gasMl: number;
  volumeL: number;
  submergedFraction: number;
  afloat: boolean;
}

/** Changes when a state written as JSON by an older version can no longer be stepped. */
export const PLANT_LAYOUT = 1;

export interface PlantState {
  /** `PLANT_LAYOUT` of the version that made it */
  layout: number;
  /** s since the start */
  timeS: number;
  random: Random;
  waterKg: number;
  waterLitres: number;
  topC: number;
  bottomC: number;
  wallC: number;
  elementC: number;
  /** heat on its way from the element to the body of the water, J, stage by stage */
  plumeJ: [number, number, number, number];
  levelMm: number;
  boiling: boolean;
  lidOn: boolean;
  pumpOn: boolean;
  mainsOn: boolean;
  /** how far the supply has wandered from its mean, V */
  mainsWanderV: number;
  element: { condition: 'ok' | 'dead' | 'scaled'; powerShare: number };
  regulating: SwitchFault;
  guard: SwitchFault;
  cutOutTripped: boolean;
  levelSwitch: 'ok' | 'stuck-wet' | 'stuck-dry' | 'absent';
  leakMlMin: number;
  ambientBaseC: number;
  airSpeedMS: number;
  ambientC: number;
  bags: PlantBag[];
  corePlace: { bagId: string; depth: number } | null;
  probes: Record<ProbeId, ProbeState>;
  /** current through the element in the last step */
  heating: boolean;
  /** s with current through an element that was not wholly under water: since it was last covered; worst so far */
  uncoveredHeatedS: number;
  worstUncoveredHeatedS: number;
  elementMaxC: number;
  /** running sums, J and kg: what went in and where it went (`+` leaves the water) */
  sums: {
    elementJ: number;
    pumpJ: number;
    roomJ: number;
    foodJ: number;
    evaporationJ: number;
    evaporatedKg: number;
    leakedKg: number;
    spilledKg: number;
    addedKg: number;
  };
}

/** Whether the water is being moved. */
export function pumpRuns(state: PlantState): boolean {
  return state.pumpOn && state.mainsOn;
}

function newProbe(celsius: number): ProbeState {
  return { tipC: celsius, fault: 'none', size: 0, driftedC: 0, reading: celsius };
}

/**
 * A bath just filled, at rest, heat off.
 * @param spec the rig
 * @param seed of its noise; equal seeds give equal runs
 * @param startC of the water and everything in it; default the room
 * @throws RangeError that lists everything wrong with the spec or the start temperature
 */
export function newPlant(spec: PlantSpec, seed: number, startC: number = spec.ambientC): PlantState {
  const faults = specFaults(spec);
  if (!(startC >= 0 && startC <= 100)) faults.push(`startC is ${startC}; expected 0 to 100`);
  if (faults.length > 0) throw new RangeError(`this rig cannot be simulated:\n- ${faults.join('\n- ')}`);
  return {
    layout: PLANT_LAYOUT,
    timeS: 0,
    random: newRandom(seed),
    waterLitres: spec.litres,
    waterKg: (spec.litres * quickDensity(startC)) / 1000,
    topC: startC,
    bottomC: startC,
    wallC: startC,
    elementC: startC,
    plumeJ: [0, 0, 0, 0],
    levelMm: spec.litres / spec.openingM2,
    boiling: false,
    lidOn: true,
    pumpOn: true,
    mainsOn: true,
    mainsWanderV: 0,
    element: { condition: 'ok', powerShare: 1 },
    regulating: 'none',
    guard: 'none',
    cutOutTripped: false,
    levelSwitch: 'ok',
    leakMlMin: 0,
    ambientBaseC: spec.ambientC,
    airSpeedMS: spec.airSpeedMS,
    ambientC: spec.ambientC,
    bags: [],
    corePlace: null,
    probes: {
      bath: newProbe(startC),
      second: newProbe(startC),
      core: newProbe(startC),
      ambient: newProbe(spec.ambientC),
    },
    heating: false,
    uncoveredHeatedS: 0,
    worstUncoveredHeatedS: 0,
    elementMaxC: startC,
    sums: {
      elementJ: 0,
      pumpJ: 0,
      roomJ: 0,
      foodJ: 0,
      evaporationJ: 0,
      evaporatedKg: 0,
      leakedKg: 0,
      spilledKg: 0,
      addedKg: 0,
    },
  };
}

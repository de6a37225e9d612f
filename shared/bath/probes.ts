/** The simulated probes and level switch: lag, digit, noise and faults. */
import { normal, uniform } from '../units/random.ts';
import { gridOf, headspaceC } from './bags.ts';
import { bodyAtDepth } from './body.ts';
import type { PlantSpec, ProbeSpec } from './spec.ts';
import { type PlantState, type ProbeFault, type ProbeId, type ProbeState, pumpRuns } from './state.ts';

/** A tip in air follows this many times slower than in water (from memory). */
const AIR_LAG = 6;
/** And in still water this many times slower than in moving water (from memory). */
const STILL_LAG = 2;
/** A probe dropped beside the box feels a little of it. */
const BESIDE_SHARE = 0.1;
/** What a one-wire sensor holds before its first conversion, C (data sheet). */
const POWER_ON_C = 85;
/** Range of a one-wire sensor, C (data sheet). */
const LOWEST_C = -55;
const HIGHEST_C = 125;

/** What the wire shows: `fault` is only what a reader can tell from it, never the hidden truth. */
export interface ProbeReading {
  celsius: number | null;
  fault: 'none' | 'absent' | 'short';
}

/** Temperature about the tip, C, and whether that is air. */
function aroundTip(spec: PlantSpec, state: PlantState, id: ProbeId): [celsius: number, inAir: boolean] {
  if (id === 'ambient') return [state.ambientC, true];
  if (state.probes[id].fault === 'out-of-water') {
    return [state.ambientC + BESIDE_SHARE * (state.topC - state.ambientC), true];
  }
  const probe = spec.probes[id];
  if (id === 'core') {
    const place = state.corePlace;
    const bag = place && state.bags.find((candidate) => candidate.bagId === place.bagId);
    if (!place || !bag) return [state.ambientC, true];
    return [bodyAtDepth(gridOf(bag), bag.profile, place.depth), false];
  }
  if (state.levelMm < probe.heightMm) return [headspaceC(state), true];
  return [probe.topShare * state.topC + (1 - probe.topShare) * state.bottomC, false];
}

function converted(spec: ProbeSpec, probe: ProbeState, noise: number, chance: number): number | null {
  const fault: ProbeFault = probe.fault;
  if (fault === 'absent' || fault === 'short') return null;
  if (fault === 'intermittent' && chance < probe.size) return null;
  if (fault === 'stuck') return probe.reading;
  if (fault === 'power-on') return POWER_ON_C;
  let celsius = probe.tipC + spec.offsetC + noise * spec.noiseSdC + probe.driftedC;
  if (fault === 'offset') celsius += probe.size;
  if (fault === 'noisy') celsius += noise * probe.size;
  if (fault === 'jumping' && chance < 0.3) celsius += chance < 0.15 ? probe.size : -probe.size;
  if (spec.stepC > 0) celsius = Math.round(celsius / spec.stepC) * spec.stepC;
  return Math.min(HIGHEST_C, Math.max(LOWEST_C, celsius));
}

/** How much slower than in moving water a tip follows; ambient and core probes are specified where they are. */
function lagFactor(state: PlantState, id: ProbeId, inAir: boolean): number {
  if (id === 'ambient' || id === 'core') return 1;
  if (inAir) return AIR_LAG;
  return pumpRuns(state) ? 1 : STILL_LAG;
}

function stepProbe(spec: PlantSpec, state: PlantState, id: ProbeId, dtS: number): void {
  const probe = state.probes[id];
  const own = spec.probes[id];
  const [aroundC, inAir] = aroundTip(spec, state, id);
  const lagS = own.lagS * lagFactor(state, id, inAir);
  probe.tipC += (aroundC - probe.tipC) * (lagS > 0 ? 1 - Math.exp(-dtS / lagS) : 1);
  if (probe.fault === 'drift') probe.driftedC += (probe.size * dtS) / 3600;
  const noise = normal(state.random);
  const chancy = probe.fault === 'intermittent' || probe.fault === 'jumping';
  probe.reading = converted(own, probe, noise, chancy ? uniform(state.random) : 1);
}

/** Steps every probe; each makes one conversion. A core probe in no bag lies in the room. */
export function stepProbes(spec: PlantSpec, state: PlantState, dtS: number): void {
  stepProbe(spec, state, 'bath', dtS);
  stepProbe(spec, state, 'second', dtS);
  stepProbe(spec, state, 'ambient', dtS);
  if (state.corePlace !== null) stepProbe(spec, state, 'core', dtS);
}

/**
 * What a probe's last conversion says, as a reader of the wire sees it.
 * @param probe default the bath's
 * @returns C in the probe's digits, or null with what the wire shows
 */
export function readProbe(_spec: PlantSpec, state: PlantState, probe: ProbeId = 'bath'): ProbeReading {
  const { reading, fault } = state.probes[probe];
  if (fault === 'short') return { celsius: null, fault: 'short' };
  if (reading === null) return { celsius: null, fault: 'absent' };
  return { celsius: reading, fault: 'none' };
}

/**
 * The level switch: true when it says that there is water.
 * @returns null when none is fitted or it does not answer
 */
export function readLevelSwitch(spec: PlantSpec, state: PlantState): boolean | null {
  if (spec.levelSwitchMm === null || state.levelSwitch === 'absent') return null;
  if (state.levelSwitch !== 'ok') return state.levelSwitch === 'stuck-wet';
  return state.levelMm >= spec.levelSwitchMm;
}

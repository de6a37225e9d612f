/**
 * The heat circuit and the element: supply, switches, metal, and the way of its heat into the water.
 */
import { normal } from '../units/random.ts';
import { ZERO_CELSIUS_K } from '../water/saturation.ts';
import { STEFAN_BOLTZMANN } from '../water/surface.ts';
import type { PlantSpec } from './spec.ts';
import { type PlantState, pumpRuns } from './state.ts';

const RATED_VOLTS = 230;
/** How fast the supply wanders, s (from memory: minutes, as neighbours' loads come and go). */
const WANDER_S = 600;
const SHEATH_EMISSIVITY = 0.8;
/** Limescale's share of the clean film (from memory: a few millimetres of scale, k about 1 W/mK). */
const SCALED_FILM = 0.35;
/** Share of the film left when the pump stops and only its own plume moves the water (from memory). */
const STILL_FILM = 0.6;

/** Share of the element's heated part that is under water, 0 to 1. */
export function coveredShare(spec: PlantSpec, levelMm: number): number {
  const share = (levelMm - spec.elementBottomMm) / (spec.elementTopMm - spec.elementBottomMm);
  return share > 0 ? Math.min(1, share) : 0;
}

/** Whether a switch conducts: what it is told, unless it is stuck. */
function closed(told: boolean, fault: PlantState['guard']): boolean {
  return fault === 'welded' || (told && fault !== 'open');
}

/** Electrical power into the element now, W; 0 when anything in series is open. */
export function elementPowerW(spec: PlantSpec, state: PlantState, heat: boolean, guard: boolean): number {
  const circuit = closed(heat, state.regulating) && closed(guard, state.guard);
  if (!circuit || !state.mainsOn || state.cutOutTripped || state.element.condition === 'dead') return 0;
  const volts = Math.max(0, spec.mainsVolts + state.mainsWanderV) / RATED_VOLTS;
  return spec.elementWatts * state.element.powerShare * volts * volts;
}

/** Lets the supply wander: an Ornstein-Uhlenbeck walk of the spec's standard deviation. Draws one number. */
export function wanderMains(spec: PlantSpec, state: PlantState, dtS: number): void {
  const keep = Math.exp(-dtS / WANDER_S);
  const kick = spec.mainsSdVolts * Math.sqrt(1 - keep * keep) * normal(state.random);
  state.mainsWanderV = state.mainsWanderV * keep + kick;
}

/** Where the element's heat went in a step, J. */
export interface ElementHeat {
  topJ: number;
  bottomJ: number;
  airJ: number;
}

/**
 * One step of the element's metal. Its temperature runs to balance between what heats it and the water and
 * air about it; bare, radiation is what bounds it.
 */
function stepMetal(
  spec: PlantSpec,
  state: PlantState,
  watts: number,
  airC: number,
  dtS: number,
): [number, number] {
  const covered = coveredShare(spec, state.levelMm);
  const scale = state.element.condition === 'scaled' ? SCALED_FILM : 1;
  const flow = pumpRuns(state) ? 1 : STILL_FILM;
  const wet = spec.elementFilmWK * covered * scale * flow;
  const hot = state.elementC + ZERO_CELSIUS_K;
  const room = airC + ZERO_CELSIUS_K;
  const glow =
    SHEATH_EMISSIVITY * STEFAN_BOLTZMANN * spec.elementAreaM2 * (hot * hot + room * room) * (hot + room);
  const dry = (spec.elementDryWK + glow) * (1 - covered);
  const together = wet + dry;
  const balanceC = (watts + wet * state.bottomC + dry * airC) / together;
  const settled = 1 - Math.exp((-together * dtS) / spec.elementHeatJK);
  const startC = state.elementC;
  state.elementC = startC + (balanceC - startC) * settled;
  // Heat given off = put in less stored: conserved whatever the step.
  const givenOff = watts * dtS - spec.elementHeatJK * (state.elementC - startC);
  const wetDrive = wet * (balanceC - state.bottomC);
  const dryDrive = dry * (balanceC - airC);
  const lag = (startC - balanceC) * spec.elementHeatJK * settled;
  const wetJ = wetDrive * dtS + (wet / together) * lag;
  return covered >= 1 ? [givenOff, 0] : [wetJ, dryDrive * dtS + (dry / together) * lag];
}

/**
 * One step of circuit, metal and plume. Sets what the step found on the state and says in `heat` how much
 * arrived where.
 */
export function stepElement(
  spec: PlantSpec,
  state: PlantState,
  watts: number,
  airC: number,
  dtS: number,
  heat: ElementHeat,
): void {
  const [wetJ, dryJ] = stepMetal(spec, state, watts, airC, dtS);
  state.heating = watts > 0;
  state.sums.elementJ += watts * dtS;
  if (state.elementC > state.elementMaxC) state.elementMaxC = state.elementC;
  if (state.elementC > spec.elementBurnOutC) state.element.condition = 'dead';

  // Four equal stages of mixing: an Erlang delay, conserving and smooth as a real plume is.
  const plume = state.plumeJ;
  const passed = spec.deadTimeS > 0 ? 1 - Math.exp((-4 * dtS) / spec.deadTimeS) : 1;
  let arriving = wetJ;
  for (let stage = 0; stage < 4; stage++) {
    const held = plume[stage]! + arriving;
    arriving = spec.deadTimeS > 0 ? plume[stage]! * passed : held;
    plume[stage] = held - arriving;
  }
  const topShare = pumpRuns(state) ? spec.plumeTopShare : spec.plumeTopShareStill;
  heat.topJ = arriving * topShare;
  heat.bottomJ = arriving * (1 - topShare);
  heat.airJ = dryJ;
}

/** Keeps account of how long current has flowed through an element not wholly under water. */
export function countUncovered(spec: PlantSpec, state: PlantState, dtS: number): void {
  if (state.levelMm >= spec.elementTopMm) state.uncoveredHeatedS = 0;
  else if (state.heating) state.uncoveredHeatedS += dtS;
  if (state.uncoveredHeatedS > state.worstUncoveredHeatedS)
    state.worstUncoveredHeatedS = state.uncoveredHeatedS;
}

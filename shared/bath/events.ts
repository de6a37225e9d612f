/** What can happen to a simulated bath from outside: people, faults, weather. */

import { dryAirMol } from '../bag/gas.ts';
import { quickDensity, quickSpecificHeat } from '../water/table.ts';
import { gridOf } from './bags.ts';
import { startBody } from './body.ts';
import type { PlantSpec } from './spec.ts';
import type { PlantBag, PlantState, ProbeFault, ProbeId, SwitchFault } from './state.ts';

/** Heat capacity of stainless steel, J/(kg K) (EN 10088-1). */
const STEEL_HEAT_JKGK = 500;
const MAX_BAGS = 32;

export interface BagIn {
  type: 'bag-in';
  bagId: string;
  thicknessMm: number;
  massKg: number;
  /** 0 slab, 1 cylinder, 2 sphere, or between */
  beta: number;
  /** m2/s */
  diffusivity: number;
  /** W/(m K) */
  conductivity: number;
  startC: number;
  /** air left in the bag at sealing, mL; default 0 */
  airMl?: number;
  /** default 0 */
  ballastKg?: number;
  /** kg/m3; default 1050, average meat */
  densityKgM3?: number;
}

export type PlantEvent =
  | { type: 'lid'; on: boolean }
  | { type: 'pump'; on: boolean }
  | { type: 'mains'; on: boolean }
  | { type: 'probe'; probe?: ProbeId; fault: ProbeFault; size?: number }
  | { type: 'core-probe'; bagId: string | null; depth?: number }
  | BagIn
  | { type: 'bag-out'; bagId: string }
  | { type: 'bag-air'; bagId: string; addMl?: number; mlPerMin?: number }
  | { type: 'ballast'; bagId: string; kg: number }
  | { type: 'leak'; mlPerMin: number }
  | { type: 'top-up'; litres: number; celsius: number }
  | { type: 'element'; condition: 'ok' | 'dead' | 'scaled'; powerShare?: number }
  | { type: 'switch'; which: 'regulating' | 'guard'; fault: SwitchFault }
  | { type: 'level-switch'; fault: 'ok' | 'stuck-wet' | 'stuck-dry' | 'absent' }
  | { type: 'cut-out-reset' }
  | { type: 'ambient'; celsius: number }
  | { type: 'draught'; airSpeedMS: number };

/** How big a probe fault is when the event does not say: C, C per hour for drift, share lost for intermittent. */
const DEFAULT_SIZE: Record<ProbeFault, number> = {
  none: 0,
  absent: 0,
  intermittent: 0.3,
  stuck: 0,
  short: 0,
  'power-on': 0,
  noisy: 1.5,
  jumping: 8,
  offset: 4,
  drift: 2,
  'out-of-water': 0,
};

function within(what: string, value: number, low: number, high: number): number {
  if (!(value >= low && value <= high)) {
    throw new RangeError(`${what} is ${value}; expected ${low} to ${high}`);
  }
  return value;
}

function bagOf(state: PlantState, bagId: string): PlantBag {
  const bag = state.bags.find((candidate) => candidate.bagId === bagId);
  if (bag) return bag;
  const known = state.bags.map((candidate) => candidate.bagId).join(', ') || 'none';
  throw new RangeError(`no bag "${bagId}" is in the bath; there: ${known}`);
}

function putIn(spec: PlantSpec, state: PlantState, event: BagIn): void {
  if (state.bags.some((bag) => bag.bagId === event.bagId)) {
    throw new RangeError(
      `bag "${event.bagId}" is already in the bath; take it out first or give it another id`,
    );
  }
  if (state.bags.length >= MAX_BAGS) throw new RangeError(`the bath takes at most ${MAX_BAGS} bags`);
  const airMl = within('airMl', event.airMl ?? 0, 0, 20_000);
  const bag: PlantBag = {
    bagId: event.bagId,
    thicknessM: within('thicknessMm', event.thicknessMm, 1, 500) / 1000,
    beta: event.beta,
    diffusivity: event.diffusivity,
    conductivity: event.conductivity,
    massKg: within('massKg', event.massKg, 0.01, 100),
    densityKgM3: within('densityKgM3', event.densityKgM3 ?? 1050, 500, 2000),
    ballastKg: within('ballastKg', event.ballastKg ?? 0, 0, 50),
    gasMol: dryAirMol(airMl, event.startC, spec.airPressureKPa),
    gasMlMin: 0,
    profile: startBody(within('startC', event.startC, -1, 100)),
    gasMl: airMl,
    volumeL: 0,
    submergedFraction: 1,
    afloat: false,
  };
  gridOf(bag); // refuses figures no food has, before anything is changed
  state.bags.push(bag);
  const steelJ = bag.ballastKg * STEEL_HEAT_JKGK * (state.bottomC - event.startC);
  const bottomJK = spec.bottomShare * state.waterKg * quickSpecificHeat(state.bottomC);
  // The steel and the water under it come to one temperature at once; steel is quick beside meat.
  const shared = steelJ / (bottomJK + bag.ballastKg * STEEL_HEAT_JKGK);
  state.bottomC -= shared;
  state.sums.foodJ += shared * bottomJK;
}

function bagAir(spec: PlantSpec, state: PlantState, event: Extract<PlantEvent, { type: 'bag-air' }>): void {
  const bag = bagOf(state, event.bagId);
  const addMl = within('addMl', event.addMl ?? 0, -20_000, 20_000);
  bag.gasMlMin = within('mlPerMin', event.mlPerMin ?? bag.gasMlMin, -5000, 5000);
  bag.gasMol = Math.max(0, bag.gasMol + dryAirMol(addMl, 20, spec.airPressureKPa));
}

function topUp(spec: PlantSpec, state: PlantState, litres: number, celsius: number): void {
  within('litres', litres, 0, 500);
  within('celsius', celsius, 0, 100);
  const poured = (litres * quickDensity(celsius)) / 1000;
  const before = state.waterKg;
  // Poured in at the top; the layers keep their shares, so the surplus of the upper one sinks.
  const topKg = (1 - spec.bottomShare) * before;
  const mixed = (topKg * state.topC + poured * celsius) / (topKg + poured);
  const sunk = spec.bottomShare * poured;
  const bottomKg = spec.bottomShare * before;
  state.bottomC = (bottomKg * state.bottomC + sunk * mixed) / (bottomKg + sunk);
  state.topC = mixed;
  state.waterKg = before + poured;
  state.sums.addedKg += poured;
}

function faultProbe(state: PlantState, event: Extract<PlantEvent, { type: 'probe' }>): void {
  const probe = state.probes[event.probe ?? 'bath'];
  probe.size = within('size', event.size ?? DEFAULT_SIZE[event.fault], -200, 200);
  probe.fault = event.fault;
  probe.driftedC = 0;
}

function placeCore(state: PlantState, event: Extract<PlantEvent, { type: 'core-probe' }>): void {
  if (event.bagId === null) {
    state.corePlace = null;
    return;
  }
  const bag = bagOf(state, event.bagId);
  state.corePlace = { bagId: bag.bagId, depth: within('depth', event.depth ?? 0, 0, 1) };
}

/** Events that change one figure of the rig or the room. Anything else is handed on as not its own. */
function setFigure(state: PlantState, event: PlantEvent): boolean {
  if (event.type === 'lid') state.lidOn = event.on;
  else if (event.type === 'pump') state.pumpOn = event.on;
  else if (event.type === 'mains') state.mainsOn = event.on;
  else if (event.type === 'leak') state.leakMlMin = within('mlPerMin', event.mlPerMin, 0, 100_000);
  else if (event.type === 'switch') state[event.which] = event.fault;
  else if (event.type === 'level-switch') state.levelSwitch = event.fault;
  else if (event.type === 'cut-out-reset') state.cutOutTripped = false;
  else if (event.type === 'ambient') state.ambientBaseC = within('celsius', event.celsius, -40, 60);
  else if (event.type === 'draught') state.airSpeedMS = within('airSpeedMS', event.airSpeedMS, 0, 20);
  else if (event.type === 'element') {
    const powerShare = within('powerShare', event.powerShare ?? 1, 0, 1.5);
    state.element = { condition: event.condition, powerShare };
  } else return false;
  return true;
}

/**
 * Lets something happen to the bath. Changes `state` in place.
 * @throws RangeError that says what was wrong with the event; the state is then as it was
 */
export function applyPlantEvent(spec: PlantSpec, state: PlantState, event: PlantEvent): void {
  if (setFigure(state, event)) return;
  if (event.type === 'probe') faultProbe(state, event);
  else if (event.type === 'core-probe') placeCore(state, event);
  else if (event.type === 'bag-in') putIn(spec, state, event);
  else if (event.type === 'bag-out') state.bags.splice(state.bags.indexOf(bagOf(state, event.bagId)), 1);
  else if (event.type === 'bag-air') bagAir(spec, state, event);
  else if (event.type === 'ballast') {
    bagOf(state, event.bagId).ballastKg = within('kg', event.kg, 0, 50);
  } else if (event.type === 'top-up') topUp(spec, state, event.litres, event.celsius);
  else throw new RangeError(`unknown event "${String((event as { type: unknown }).type)}"`);
}

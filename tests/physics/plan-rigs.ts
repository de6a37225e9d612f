/**
 * Drawn rigs and foods for the plan's calibration: what a cook would tell the plan, and what is really so. The bath is
 * the simulated plant, the food its own conduction; readiness is drawn from the class priors.
 */

import { drawRig } from '../../shared/bath/draw.ts';
import { wallU } from '../../shared/bath/losses.ts';
import {
  hutSpec,
  newPlant,
  type PlantSpec,
  type PlantState,
  readProbe,
  stepPlant,
  truth,
} from '../../shared/bath/plant.ts';
import { cutById } from '../../shared/food/cuts.ts';
import { thermalProperties } from '../../shared/food/properties.ts';
import type { JobAsked } from '../../shared/plan/complete.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { IDENTIFIED_SPREAD, type Rig, USUAL_RIG, wallM2 } from '../../shared/plan/rig.ts';
import type { Plan } from '../../shared/plan/types.ts';
import { ENDPOINT_FACTOR, type Endpoint, tenderClass } from '../../shared/tender/classes.ts';
import { newRandom, normal, pick, type Random, uniformBetween } from '../../shared/units/random.ts';
import { events } from './bath-rigs.ts';
import { EIGHT_CUTS } from './plan-eight.ts';

export const NOW_MS = Date.UTC(2026, 6, 1, 6, 0);

/** What is really so of one case. */
export interface Truth {
  readonly spec: PlantSpec;
  readonly thicknessMm: number;
  readonly diffusivity: number;
  readonly conductivity: number;
  readonly startC: number;
  readonly beta: number;
  readonly massKg: number;
  /** Equivalent hours at 70 C to its endpoint, and the activation energy that makes them, kJ/mol. */
  readonly hours: number;
  readonly activationKjMol: number;
}

export interface Case {
  readonly seed: number;
  readonly plan: Plan;
  readonly truth: Truth;
}

/** A rig as its builder would describe it: litres and watts read off, walls and lid to within 15 %. */
function described(spec: PlantSpec, random: Random): Rig {
  const area = wallM2(spec.openingM2, spec.brimMm);
  const thickness = (wattsPerK: number, m2: number) => {
    const u = Math.min(5, (wattsPerK / m2) * Math.exp(0.15 * normal(random)));
    return Math.max(0, 1000 * 0.038 * (1 / u - 1 / 8 - 1 / 500));
  };
  return {
    ...common(spec),
    kind: 'described',
    elementW: spec.elementWatts,
    insulation: 'eps',
    insulationMm: Math.min(500, thickness(spec.wallUaWK, area)),
    lidMm: Math.min(500, thickness(spec.lidUaWK, spec.openingM2)),
  };
}

function common(spec: PlantSpec) {
  return {
    waterLitres: spec.litres,
    openingM2: spec.openingM2,
    brimMm: spec.brimMm,
    lowestMm: spec.elementTopMm + 10,
    lidOn: true,
    circulation: 'pumped' as const,
    filmId: 'pp-pouch',
    linerId: 'steel-pot',
    fillC: Math.max(8, spec.ambientC),
    roomC: spec.ambientC,
    altitudeM: 0,
  };
}

/** A rig that has run: its figures to within what identification leaves open. */
function identified(spec: PlantSpec, seed: number, random: Random): Rig {
  const watts = spec.elementWatts * (spec.mainsVolts / 230) ** 2 + spec.pumpWatts;
  const capacityJK = spec.litres * 4130 + spec.elementHeatJK + 0.5 * spec.wallHeatJK;
  const state = newPlant(spec, seed, 68);
  stepPlant(spec, state, { heat: false, dtS: 1800 });
  const before = truth(spec, state).waterC;
  stepPlant(spec, state, { heat: false, dtS: 1800 });
  const after = truth(spec, state).waterC;
  const lossWK = (capacityJK * (before - after)) / 1800 / ((before + after) / 2 - spec.ambientC);
  const off = (sd: number) => Math.exp(sd * normal(random));
  const { watts: w, capacity, loss } = IDENTIFIED_SPREAD;
  return {
    ...common(spec),
    kind: 'identified',
    figures: {
      watts: watts * off(w),
      capacityJK: capacityJK * off(capacity),
      lossLidOnWK: lossWK * off(loss),
      lossLidOffWK: 3 * lossWK,
      openingM2: spec.openingM2,
      roomC: spec.ambientC,
      evaporationLidOnKgH: null,
    },
    spread: IDENTIFIED_SPREAD,
  };
}

/** A case from its seed; null where the plan says that this rig cannot do it. */
export function drawCase(seed: number): Case | null {
  const random = newRandom(seed * 7919 + 11);
  const spec = { ...drawRig(seed), airPressureKPa: 101.325 };
  const rig = seed % 2 === 0 ? described(spec, random) : identified(spec, seed, random);
  const cut = cutById(EIGHT_CUTS[pick(random, EIGHT_CUTS.length)]!)!;
  const thicknessMm = Math.round(cut.typicalThicknessMm * uniformBetween(random, 0.8, 1.15));
  const massKg = Math.min(spec.litres / 8, uniformBetween(random, 0.6, 2.2));
  const endpoint: Endpoint = pick(random, 4) === 0 ? 'sliceable' : 'fork-tender';
  const asked: JobAsked = {
    nowMs: NOW_MS,
    serveBy: NOW_MS + 96 * 3.6e6,
    zone: 'UTC',
    dishes: [{ cut: cut.id, massKg, piecesCount: 1, thicknessMm, endpoint, cure: null }],
    bathC: Math.round(uniformBetween(random, 68, 80)),
    rig,
    night: null,
  };
  const plan = planBackwards(asked);
  if (plan.status === 'rig-cannot') return null;
  const dish = plan.job.dishes[0]!;
  const food = thermalProperties(cut.composition, 45);
  const ease = Math.exp(
    (cut.boneIn ? 0.1 : 0.06) * normal(random) + 0.6 * (cut.fatSpread / 2) * normal(random),
  );
  const tender = tenderClass(cut.tendernessClass!);
  const lnHours =
    Math.log(tender.medianHours) + tender.sigmaClass * normal(random) + tender.sigmaPiece * normal(random);
  return {
    seed,
    plan,
    truth: {
      spec,
      thicknessMm: thicknessMm * Math.exp(0.05 * normal(random)),
      diffusivity: food.diffusivity * ease,
      conductivity: food.conductivity * ease,
      startC: Math.max(0, dish.startC + normal(random)),
      beta: dish.betaRatio,
      massKg,
      hours: Math.exp(lnHours) * ENDPOINT_FACTOR[endpoint],
      activationKjMol: 95 + 20 * normal(random),
    },
  };
}

/** The cook as it really went: seconds since the bath was switched on. */
export interface Went {
  readonly hotS: number;
  readonly inS: number;
  /** True core of the food each 10 s from when it went in. */
  readonly core: readonly { readonly atS: number; readonly celsius: number }[];
  /** The probe every 30 s since the bath was switched on. */
  readonly probe: readonly { readonly atS: number; readonly celsius: number }[];
}

/** Runs the plant under a plain thermostat. `cut`: seconds after the food went in at which the mains fail for so long. */
export function cook(one: Case, cut: { readonly afterS: number; readonly forS: number } | null): Went {
  const { plan, truth: is } = one;
  const { spec } = is;
  const state = newPlant(spec, one.seed, plan.job.rig.fillC);
  const bathOnMs = plan.steps.find((step) => step.kind === 'bath-on')!.atMs;
  const plannedInS = (plan.dishes[0]!.foodInMs - bathOnMs) / 1000;
  const core: Went['core'][number][] = [];
  const probe: Went['probe'][number][] = [];
  let heat = true;
  let hotS: number | null = null;
  let inS: number | null = null;
  for (let s = 0; s < 40 * 3600; s++) {
    const reading = readProbe(spec, state, 'bath').celsius;
    if (reading !== null) {
      heat = reading < plan.bathC - (heat ? 0 : 0.1);
      if (hotS === null && reading >= plan.bathC - 0.3) hotS = s;
      if (s % 30 === 0) probe.push({ atS: s, celsius: reading });
    }
    if (inS === null && hotS !== null && s >= plannedInS) {
      inS = s;
      putIn(is, state);
    }
    if (inS !== null && cut) {
      if (s === inS + cut.afterS) events(spec, state, { type: 'mains', on: false });
      if (s === inS + cut.afterS + cut.forS) events(spec, state, { type: 'mains', on: true });
    }
    stepPlant(spec, state, { heat, dtS: 1 });
    if (inS !== null && s % 10 === 0) {
      const { coreC } = truth(spec, state).bags[0]!;
      core.push({ atS: s, celsius: coreC });
      const past = s - inS;
      const settled = coreC > plan.bathC - 1 && (!cut || past > cut.afterS + cut.forS + 2 * 3600);
      if (settled && past > 3 * 3600) break;
    }
  }
  return { hotS: hotS ?? Number.POSITIVE_INFINITY, inS: inS ?? Number.POSITIVE_INFINITY, core, probe };
}

function putIn(is: Truth, state: PlantState): void {
  events(is.spec, state, {
    type: 'bag-in',
    bagId: 'a',
    thicknessMm: is.thicknessMm,
    massKg: is.massKg,
    beta: is.beta,
    diffusivity: is.diffusivity,
    conductivity: is.conductivity,
    startC: is.startC,
    airMl: 2,
    ballastKg: 0.25 * is.massKg,
  });
}

/** The hut's own plant and its description, for tests of a single cook. */
export function hutRig(): { readonly spec: PlantSpec; readonly rig: Rig } {
  const spec = hutSpec();
  const area = wallM2(spec.openingM2, spec.brimMm);
  const mm = (u: number) => 1000 * 0.038 * (1 / u - 1 / 8 - 1 / 500);
  const rig: Rig = {
    ...USUAL_RIG,
    insulation: 'eps',
    insulationMm: mm(spec.wallUaWK / area),
    lidMm: mm(spec.lidUaWK / spec.openingM2),
    roomC: spec.ambientC,
    altitudeM: 1900,
  };
  if (!(wallU('eps', rig.kind === 'described' ? rig.insulationMm : 0) > 0)) throw new Error('no wall');
  return { spec, rig };
}

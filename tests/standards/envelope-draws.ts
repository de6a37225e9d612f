import { coreC, makeGrid, startProfile, stepProfileInto } from '../../shared/food/conduction.ts';
import type { Cut } from '../../shared/food/cut.ts';
import { cutById } from '../../shared/food/cuts.ts';
import { type Film, filmFor } from '../../shared/food/film.ts';
import { thermalProperties } from '../../shared/food/properties.ts';
import { SPREADS } from '../../shared/hazard/envelope.ts';
import { addGrowth, growthResult, startGrowth } from '../../shared/hazard/growth.ts';
import { growthModelsFor } from '../../shared/hazard/growth-models.ts';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { addLimits, coolingResults, coreStep, startLimits } from '../../shared/hazard/limits.ts';
import { limitProfile } from '../../shared/hazard/profiles.ts';
import { type DzStandard, standardById } from '../../shared/hazard/standards/index.ts';
import { startTrack } from '../../shared/hazard/track.ts';
import { stepTrack } from '../../shared/hazard/track-step.ts';
import { trackResult } from '../../shared/hazard/track-view.ts';

export const STEP_S = 120;
const CHECK_S = 1800;
const PROFILE = limitProfile('conservative');
const NEVER_S = 1e9;

/** A water history as bends [hours, C], the hours without circulation, and when the food goes into the ice. */
export interface Cook {
  readonly name: string;
  readonly water: readonly (readonly [hours: number, celsius: number])[];
  readonly stillH: readonly [number, number] | null;
  readonly chillH: number;
}

/** The cut of that id, which must be there. */
export function cutNamed(id: string): Cut {
  const cut = cutById(id);
  if (!cut) throw new Error(`no cut ${id}`);
  return cut;
}

export interface Food {
  readonly cutId: string;
  readonly thicknessMm: number;
  readonly beta: number;
  readonly standardIds: readonly [string, string];
}

/** What is compared: histories at each half hour, and moments; in the same shape for a draw and for the envelope. */
export interface Outcome {
  readonly log10: number[];
  readonly dzLog10: number[];
  readonly growth: number[];
  readonly lowC: number[];
  readonly highC: number[];
  readonly comeUpS: number[];
  readonly dangerS: number[];
  readonly warmS: number[];
  comeUpDoneS: number;
  metS: number;
  dwellMetS: number;
  coolingS: number[];
}

const empty = (): Outcome => ({
  log10: [],
  dzLog10: [],
  growth: [],
  lowC: [],
  highC: [],
  comeUpS: [],
  dangerS: [],
  warmS: [],
  comeUpDoneS: NEVER_S,
  metS: NEVER_S,
  dwellMetS: NEVER_S,
  coolingS: [],
});

function waterAt(cook: Cook, atS: number): number {
  const hours = atS / 3600;
  const after = cook.water.findIndex(([h]) => h >= hours);
  if (after === -1) return cook.water.at(-1)![1];
  const [h1, c1] = cook.water[after]!;
  const [h0, c0] = cook.water[Math.max(0, after - 1)]!;
  return h1 === h0 ? c1 : c0 + ((c1 - c0) * (hours - h0)) / (h1 - h0);
}

const PUMPED = filmFor({ circulation: 'pumped', waterC: 60 });
const STILL = filmFor({ circulation: 'still', waterC: 50 });

function filmAt(cook: Cook, atS: number): Film {
  const hours = atS / 3600;
  return cook.stillH && hours > cook.stillH[0] && hours <= cook.stillH[1] ? STILL : PUMPED;
}

const endS = (cook: Cook) => cook.water.at(-1)![0] * 3600;

/** What the program says of the worst. */
export function envelopeOf(cook: Cook, food: Food): Outcome {
  const cut = cutNamed(food.cutId);
  const out = empty();
  let track = startTrack({
    ...food,
    cut,
    startC: 5,
    profileId: PROFILE.id,
    species: cut.species,
    roast: true,
  });
  for (let atS = STEP_S; atS <= endS(cook); atS += STEP_S) {
    track = stepTrack(track, {
      fromC: waterAt(cook, atS - STEP_S),
      toC: waterAt(cook, atS),
      seconds: STEP_S,
      atS,
      film: filmAt(cook, atS),
      cooling: atS / 3600 > cook.chillH,
    });
    if (atS % CHECK_S !== 0) continue;
    const { core, worst } = trackResult(track, atS);
    out.lowC.push(core.lowC);
    out.highC.push(core.highC);
    out.log10.push(worst.lethality[0]!.log10);
    out.dzLog10.push(worst.lethality[1]!.log10);
    out.growth.push(worst.growth.log10);
    out.comeUpS.push(worst.limits.comeUpS);
    out.dangerS.push(worst.limits.dangerS);
    out.warmS.push(worst.limits.warmS);
  }
  const { worst } = trackResult(track, endS(cook));
  out.comeUpDoneS = worst.limits.comeUpDoneAtS ?? NEVER_S;
  out.metS = worst.lethality[0]!.metAtS ?? NEVER_S;
  out.dwellMetS = worst.lethality[0]!.dwell?.metAtS ?? NEVER_S;
  out.coolingS = (worst.limits.cooling ?? []).flatMap((r) => r.legs.map((l) => l.elapsedS ?? 0));
  return out;
}

/** Even numbers in (0, 1) from a seed. */
export function evenly(seed: number): () => number {
  let s = seed;
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0;
    return (s + 0.5) / 4294967296;
  };
}

/** A piece of food, a probe and a film as they may really be: every spread drawn by itself. */
export function drawOutcome(cook: Cook, food: Food, next: () => number): Outcome {
  const normal = () => Math.sqrt(-2 * Math.log(next())) * Math.cos(2 * Math.PI * next());
  const cut = cutNamed(food.cutId);
  const usual = thermalProperties(cut.composition, 45);
  const own = cut.boneIn ? SPREADS.diffusivityBoneIn : SPREADS.diffusivity;
  const ease = Math.exp(Math.hypot(own, 0.3 * cut.fatSpread) * normal());
  const filmZ = normal() / 2;
  const filmOf = (f: Film) => f.middle * ((filmZ < 0 ? f.low : f.high) / f.middle) ** Math.abs(filmZ);
  const probeC = (2 * next() - 1) * SPREADS.probeC;
  const standard = standardById(food.standardIds[0]);
  const published = standardById(food.standardIds[1]) as DzStandard;
  const dz = { ...published, dRefS: published.dRefS * Math.exp(SPREADS.lnD * normal()) };
  const grid = makeGrid({
    thicknessM: (food.thicknessMm / 1000) * Math.exp(SPREADS.thickness * normal()),
    beta: food.beta,
    diffusivity: usual.diffusivity * ease,
    conductivity: usual.conductivity * ease,
  });
  const profile = startProfile(grid, Math.max(-1, 5 + SPREADS.startC * normal()));
  const models = growthModelsFor(cut.species);
  const out = empty();
  let killed = startLethality(standard);
  let killedDz = startLethality(dz);
  let grown = startGrowth();
  let limits = startLimits();
  for (let atS = STEP_S; atS <= endS(cook); atS += STEP_S) {
    const from = coreC(profile);
    const [w0, w1] = [waterAt(cook, atS - STEP_S) + probeC, waterAt(cook, atS) + probeC];
    stepProfileInto(grid, profile, profile, filmOf(filmAt(cook, atS)), w0, w1, STEP_S);
    const to = coreC(profile);
    const cooling = atS / 3600 > cook.chillH;
    killed = addLethality(standard, killed, from, to, STEP_S, atS);
    killedDz = addLethality(dz, killedDz, from, to, STEP_S, atS);
    grown = addGrowth(models, grown, from, to, STEP_S, cooling);
    limits = addLimits(
      PROFILE,
      limits,
      coreStep(from, to, STEP_S, atS),
      cooling ? 'cooling' : 'cooking',
      true,
    );
    if (atS % CHECK_S !== 0) continue;
    out.lowC.push(to);
    out.highC.push(to);
    out.log10.push(killed.log10);
    out.dzLog10.push(killedDz.log10);
    out.growth.push(growthResult(models, grown).log10);
    out.comeUpS.push(limits.comeUpS);
    out.dangerS.push(limits.dangerS);
    out.warmS.push(limits.warmS);
  }
  out.comeUpDoneS = limits.comeUpDoneAtS ?? NEVER_S;
  out.metS = killed.metAtS ?? NEVER_S;
  out.dwellMetS = killed.dwell?.metAtS ?? NEVER_S;
  const rules = limits.cooling ? coolingResults(PROFILE, limits.cooling, endS(cook)) : [];
  out.coolingS = rules.flatMap((r) => r.legs.map((l) => l.elapsedS ?? 0));
  return out;
}

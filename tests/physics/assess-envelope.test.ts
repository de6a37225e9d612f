import { describe, expect, it } from 'vitest';
import { filmAt } from '../../controller/cli/assess/film.ts';
import { coreC, makeGrid, startProfile, stepProfile } from '../../shared/food/conduction.ts';
import type { Film } from '../../shared/food/film.ts';
import { filmAround, SPREADS } from '../../shared/hazard/envelope.ts';
import { addGrowth, growthResult, startGrowth } from '../../shared/hazard/growth.ts';
import { growthModelsFor } from '../../shared/hazard/growth-models.ts';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { type DzStandard, standardById } from '../../shared/hazard/standards/index.ts';
import { newRandom, normal, type Random, uniformBetween } from '../../shared/units/random.ts';
import { assessed, csvOf, rowsOf } from '../serve/assess-run.ts';

/**
 * Whether the envelope that `assess` prints holds food, probe and film as they may really be. The spreads are those
 * that the envelope names (thickness, start: common practice, no source; diffusivity: ASHRAE Refrigeration ch. 9;
 * film: Carino-Sarabia & Velez-Ruiz 2013 for still water, the pumped range from memory; probe: DS18B20 data sheet).
 */
const STEP_S = 60;
const DRAWS = 600;
const MODELS = growthModelsFor('unknown');
const TABLE = standardById('fsis-other-poultry-7-fat12');
const DZ = standardById('salmonella-chicken-thigh') as DzStandard;

interface Outcome {
  comeUpS: number;
  log10: number;
  dzLog10: number;
  growth: number;
  endC: number;
}

interface Draw {
  readonly film: (waterC: number) => Film;
  readonly thicknessMm: number;
  readonly water: (s: number) => number;
  readonly endS: number;
}

function drawn(random: Random, { film, thicknessMm, water, endS }: Draw): Outcome {
  const ease = Math.exp(SPREADS.diffusivity * normal(random));
  const z = normal(random) / 2;
  const coefficient = (waterC: number) => {
    const { low, middle, high } = film(waterC);
    return middle * ((z < 0 ? low : high) / middle) ** Math.abs(z);
  };
  const thicknessM = (thicknessMm / 1000) * Math.exp(SPREADS.thickness * normal(random));
  const body = { thicknessM, beta: 0, diffusivity: 1.3e-7 * ease, conductivity: 0.48 * ease };
  const startC = Math.max(-1, 5 + SPREADS.startC * normal(random));
  const error = uniformBetween(random, -SPREADS.probeC, SPREADS.probeC);
  const dz: DzStandard = { ...DZ, dRefS: DZ.dRefS * Math.exp(SPREADS.lnD * normal(random)) };
  const grid = makeGrid(body);
  let profile = startProfile(grid, startC);
  let [table, byDz, growth] = [startLethality(TABLE), startLethality(dz), startGrowth()];
  let comeUpS = 0;
  for (let atS = STEP_S; atS <= endS; atS += STEP_S) {
    const from = coreC(profile);
    const [fromC, toC] = [water(atS - STEP_S) + error, water(atS) + error];
    const surface = { film: coefficient((fromC + toC) / 2), fromC, toC };
    profile = stepProfile(grid, profile, surface, STEP_S);
    const to = coreC(profile);
    table = addLethality(TABLE, table, from, to, STEP_S, atS);
    byDz = addLethality(dz, byDz, from, to, STEP_S, atS);
    growth = addGrowth(MODELS, growth, from, to, STEP_S, false);
    const middle = (from + to) / 2;
    if (middle >= 10 && middle < 130 / 1.8 - 32 / 1.8) comeUpS += STEP_S;
  }
  const log10 = table.log10;
  return {
    comeUpS,
    log10,
    dzLog10: byDz.log10,
    growth: growthResult(MODELS, growth).log10,
    endC: coreC(profile),
  };
}

const share = (all: readonly Outcome[], holds: (o: Outcome) => boolean) =>
  all.filter(holds).length / all.length;

const cooks: readonly (readonly [string, number, (s: number) => number])[] = [
  ['a held bath', 12_000, () => 61],
  ['a bath that is turned up late', 16_000, (s) => (s < 6000 ? 52 : 64)],
  [
    'a bath that loses power and comes back',
    24_000,
    (s) => (s < 5000 ? 62 : s < 12_000 ? 62 - (s - 5000) / 350 : Math.min(62, 42 + (s - 12_000) / 100)),
  ],
  ['a bath that heats up with the food in it', 18_000, (s) => Math.min(61, 15 + s / 120)],
];
const follows = (circulation: 'pumped' | 'still' | undefined) => (waterC: number) =>
  filmAt({ film: undefined, circulation }, waterC);
const films = [
  ['nothing said of the water', [], follows(undefined)],
  ['pumped water', ['--circulation', 'pumped'], follows('pumped')],
  ['still water', ['--circulation', 'still'], follows('still')],
  ['a film of 95', ['--film', '95'], () => filmAround(95)],
  ['a film of 300', ['--film', '300'], () => filmAround(300)],
] as const;

describe('the envelope', () => {
  for (const [filmName, flags, film] of films) {
    it.each(cooks)(
      `with ${filmName} holds each hazard in at least 99 of 100 of ${DRAWS} draws in %s, and its come-up is at most 1.3 times the 99th percentile`,
      async (name, endS, water) => {
        for (const thicknessMm of [25, 60]) {
          const random = newRandom(thicknessMm + endS);
          const all = Array.from({ length: DRAWS }, () => drawn(random, { film, thicknessMm, water, endS }));
          const csv = csvOf(rowsOf(endS, STEP_S, water));
          const { envelope } = await assessed(csv, '--thickness', `${thicknessMm}mm`, ...flags);
          const entry = (id: string) => envelope.lethality.find((e) => e.standardId === id)!;
          const covered = {
            comeUp: share(all, (o) => o.comeUpS <= envelope.comeUp.seconds + STEP_S),
            table: share(all, (o) => o.log10 >= entry(TABLE.id).log10),
            dz: share(all, (o) => o.dzLog10 >= entry(DZ.id).log10),
            growth: share(all, (o) => o.growth <= envelope.growth[0]!.log10 + 1e-9),
            end: share(all, (o) => o.endC >= envelope.core.endC && o.endC <= envelope.core.hottestEndC),
          };
          const sorted = all.map(({ comeUpS }) => comeUpS).sort((a, b) => a - b);
          const ratio = envelope.comeUp.seconds / sorted[Math.floor(0.99 * DRAWS)]!;
          console.log(
            `${filmName}, ${name}, ${thicknessMm} mm: ${JSON.stringify(covered)}, come-up ${ratio.toFixed(2)} of the 99th percentile`,
          );
          for (const [hazard, held] of Object.entries(covered))
            expect(held, hazard).toBeGreaterThanOrEqual(0.99);
          expect(ratio).toBeLessThan(1.3);
          expect(ratio).toBeGreaterThan(0.97);
        }
      },
    );
  }
});

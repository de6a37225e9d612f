import { describe, expect, it } from 'vitest';
import { coreC, makeGrid, startProfile, stepProfile } from '../../shared/food/conduction.ts';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import type { DzStandard } from '../../shared/hazard/standards/index.ts';
import { publishedRows } from './published.ts';

/** D and z the tables were made with; D in minutes at refC. */
const organism = (name: string, refC: number, dMin: number, zC: number, targetLog10: number): DzStandard => ({
  kind: 'dz',
  id: name,
  name,
  edition: '',
  organism: name,
  food: '',
  targetLog10,
  rangeC: [20, 90],
  dRefS: dMin * 60,
  refC,
  zC,
  source: 'the table',
  confirmed: 'see the test',
});

interface Table {
  readonly name: string;
  readonly diffusivity: number;
  readonly beta: (thicknessMm: number) => number;
  readonly targets: readonly DzStandard[];
  readonly from: string;
}

// Published tables of core pasteurisation from 5 C (Baldwin, guide and 2012 review). The meat kinetics were seen
// in its caption; film 95 W/(m2 K), diffusivities, shapes and the other kinetics are from memory.
const TABLES: readonly Table[] = [
  {
    name: 'meat',
    diffusivity: 1.11e-7,
    beta: (mm) => (mm <= 30 ? 0 : 0.28),
    targets: [
      organism('Listeria', 55, 12.66, 9.22, 6),
      organism('Salmonella', 55, 13.18, 7.58, Math.log10(3e6)),
      organism('E. coli', 55, 19.35, 4.87, 5),
    ],
    from: 'kinetics seen, the rest from memory',
  },
  {
    name: 'poultry',
    diffusivity: 1.08e-7,
    beta: () => 0.28,
    targets: [organism('Salmonella', 60, 4.68, 6.45, 7), organism('Listeria', 60, 5.94, 5.66, 6)],
    from: 'from memory',
  },
  {
    name: 'lean-fish',
    diffusivity: 9.95e-8,
    beta: () => 0.28,
    targets: [organism('Listeria', 60, 2.88, 5.59, 6)],
    from: 'from memory',
  },
  {
    name: 'fatty-fish',
    diffusivity: 9.95e-8,
    beta: () => 0.28,
    targets: [organism('Listeria', 60, 5.13, 5.68, 6)],
    from: 'from memory',
  },
];

const FILM = 95;
const CONDUCTIVITY = 0.48;
const STEP_S = 20;

/** Minutes until every target is met at the core of food that goes from 5 C into a steady bath. */
function minutesToSafe(table: Table, thicknessMm: number, bathC: number): number {
  const grid = makeGrid({
    thicknessM: thicknessMm / 1000,
    beta: table.beta(thicknessMm),
    diffusivity: table.diffusivity,
    conductivity: CONDUCTIVITY,
  });
  let profile = startProfile(grid, 5);
  let states = table.targets.map(startLethality);
  for (let atS = STEP_S; ; atS += STEP_S) {
    const before = coreC(profile);
    profile = stepProfile(grid, profile, { film: FILM, fromC: bathC, toC: bathC }, STEP_S);
    states = states.map((s, i) => addLethality(table.targets[i]!, s, before, coreC(profile), STEP_S, atS));
    if (states.every((s) => s.metAtS !== null)) return Math.max(...states.map((s) => s.metAtS!)) / 60;
  }
}

describe('published pasteurisation tables, conduction and lethality together', () => {
  for (const table of TABLES) {
    it(`gives every printed time of the ${table.name} table, which rounds up, to its rounding step, -3 to +8 % beyond it (${table.from})`, () => {
      let low = 0;
      let high = 0;
      let cells = 0;
      for (const row of publishedRows(`pasteurisation-${table.name}.csv`)) {
        for (const [bathC, cell] of Object.entries(row)) {
          if (bathC === 'thickness_mm') continue;
          const printed = +cell;
          const minutes = minutesToSafe(table, +row.thickness_mm!, +bathC);
          low = Math.min(low, Math.min(0, minutes - (printed - roundingStep(printed))) / printed);
          high = Math.max(high, (minutes - printed) / printed);
          cells++;
        }
      }
      console.log(
        `${table.name}: ${cells} cells, outside their rounding by ${(low * 100).toFixed(1)} to +${(high * 100).toFixed(1)} %`,
      );
      expect(low).toBeGreaterThan(-0.03);
      expect(high).toBeLessThan(0.08);
    });
  }
});

/** The table's step: a minute up to 20, five up to an hour, a quarter of an hour above. */
function roundingStep(minutes: number): number {
  if (minutes <= 20) return 1;
  return minutes <= 60 ? 5 : 15;
}

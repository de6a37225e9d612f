import { describe, expect, it } from 'vitest';
import { cutById } from '../../shared/food/cuts.ts';
import { thermalProperties } from '../../shared/food/properties.ts';

/** USDA, proximate composition of raw poultry, table 1: moisture, protein, fat, ash, percent. */
const TABLE: readonly (readonly [string, number, number, number, number])[] = [
  ['Chicken light, with skin', 68.6, 20.3, 11.1, 0.86],
  ['Chicken light, no skin', 74.9, 23.2, 1.6, 0.98],
  ['Chicken dark, with skin', 65.4, 16.7, 18.3, 0.76],
  ['Chicken dark, no skin', 76.0, 20.1, 4.3, 0.94],
  ['Turkey light, with skin', 69.8, 21.6, 7.4, 0.9],
  ['Turkey light, no skin', 73.8, 23.6, 1.6, 1.0],
  ['Turkey dark, with skin', 71.1, 18.9, 8.8, 0.86],
  ['Turkey dark, no skin', 74.5, 20.1, 4.4, 0.93],
  ['Duck all, with skin', 48.5, 11.5, 39.3, 0.68],
  ['Duck all, no skin', 73.8, 18.3, 6.0, 1.06],
  ['Goose all, with skin', 49.7, 15.9, 33.6, 0.87],
  ['Goose all, no skin', 68.3, 22.8, 7.1, 1.1],
];

/** The cuts that stand on a row of the table, or on the mean of two. */
const CUTS: readonly (readonly [cutId: string, ...rows: string[]])[] = [
  ['chicken-thigh', 'Chicken dark, no skin'],
  ['chicken-breast', 'Chicken light, no skin'],
  ['chicken-leg', 'Chicken dark, with skin', 'Chicken dark, no skin'],
  ['duck-leg', 'Duck all, with skin', 'Duck all, no skin'],
  ['goose-leg', 'Goose all, with skin', 'Goose all, no skin'],
];

const rowOf = (name: string) => TABLE.find(([row]) => row === name)!;
const compositionOf = ([, water, protein, fat, ash]: (typeof TABLE)[number]) => ({
  water: water / 100,
  protein: protein / 100,
  fat: fat / 100,
  carbohydrate: 0,
  ash: ash / 100,
});

describe('poultry by the USDA table of raw composition', () => {
  it.each(CUTS)('stands in the record of %s', (cutId, ...rows) => {
    const cut = cutById(cutId)!;
    const mean = (k: 1 | 2 | 3 | 4) => rows.reduce((s, row) => s + rowOf(row)[k], 0) / rows.length / 100;
    expect(cut.composition.water).toBeCloseTo(mean(1), 2);
    expect(cut.composition.protein).toBeCloseTo(mean(2), 2);
    expect(cut.composition.fat).toBeCloseTo(mean(3), 2);
    expect(cut.composition.ash).toBeCloseTo(mean(4), 2);
  });

  it('has without skin at 60 C the density, specific heat, conductivity and diffusivity worked out apart from this program (Choi & Okos)', () => {
    for (const row of TABLE.filter(([name]) => /(Chicken|Turkey).*no skin/.test(name))) {
      const parallel = thermalProperties(compositionOf(row), 60, 'parallel');
      const series = thermalProperties(compositionOf(row), 60, 'series');
      expect(Math.round(parallel.densityKgM3), row[0]).toBeGreaterThanOrEqual(1031);
      expect(Math.round(parallel.densityKgM3), row[0]).toBeLessThanOrEqual(1049);
      expect(parallel.specificHeat / 1000).toBeGreaterThan(3.585);
      expect(parallel.specificHeat / 1000).toBeLessThan(3.625);
      expect(parallel.conductivity).toBeGreaterThan(0.5565);
      expect(parallel.conductivity).toBeLessThan(0.5665);
      expect(parallel.diffusivity * 1e7).toBeCloseTo(1.5, 1);
      expect(series.diffusivity * 1e7).toBeGreaterThan(1.195);
      expect(series.diffusivity * 1e7).toBeLessThan(1.265);
    }
  });

  it('heats the slower the fatter it is: with skin never faster than without', () => {
    for (let i = 0; i < TABLE.length; i += 2) {
      const [skin, bare] = [TABLE[i]!, TABLE[i + 1]!].map((row) => thermalProperties(compositionOf(row), 60));
      expect(skin!.diffusivity, TABLE[i]![0]).toBeLessThan(bare!.diffusivity);
    }
  });
});

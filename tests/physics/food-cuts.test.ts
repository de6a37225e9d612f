import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { normalised } from '../../shared/food/composition.ts';
import { boneInNote, cutById, cuts, groundNote, refusedFoods } from '../../shared/food/cuts.ts';
import { foodModels } from '../../shared/food/models.ts';
import { thermalProperties } from '../../shared/food/properties.ts';
import { betaOf } from '../../shared/food/shape.ts';
import { chooseStandard } from '../../shared/hazard/standards/choose.ts';
import { TENDER_CLASSES } from '../../shared/tender/classes.ts';

describe('the cuts', () => {
  it('are at least 40, with ids of their own in kebab-case', () => {
    expect(cuts.length).toBeGreaterThanOrEqual(40);
    expect(new Set(cuts.map(({ id }) => id)).size).toBe(cuts.length);
    expect(new Set(cuts.map(({ name }) => name)).size).toBe(cuts.length);
    for (const { id } of cuts) expect(id).toMatch(/^[a-z]+(-[a-z]+)*$/);
  });

  it('cover every species asked for, and what the demonstration cooks', () => {
    const species = new Set(cuts.map((cut) => cut.species));
    for (const wanted of [
      'beef',
      'pork',
      'lamb',
      'veal',
      'chicken',
      'turkey',
      'duck',
      'goose',
      'rabbit',
      'venison',
      'fish',
      'vegetable',
    ]) {
      expect(species, wanted).toContain(wanted);
    }
    for (const id of [
      'lamb-shoulder',
      'pork-neck',
      'pork-shoulder',
      'beef-chuck',
      'chicken-leg',
      'duck-leg',
    ]) {
      expect(cutById(id)?.id).toBe(id);
    }
    expect(cutById('unicorn')).toBeUndefined();
    const fish = cuts.filter((cut) => cut.family === 'fish');
    expect(fish.some((cut) => cut.fatPercent < 1)).toBe(true);
    expect(fish.some((cut) => cut.fatPercent > 10)).toBe(true);
  });

  it.each(cuts.map((cut) => [cut.id, cut] as const))(
    '%s has a composition that adds up, with source and spread',
    (_, cut) => {
      const { composition } = cut;
      const sum = Object.values(composition).reduce((total: number, part) => total + part, 0);
      expect(Math.abs(sum - 1)).toBeLessThan(0.03);
      expect(() => normalised(composition)).not.toThrow();
      expect(cut.fatPercent).toBeCloseTo(100 * composition.fat, 9);
      expect(cut.fatSpread).toBeGreaterThan(0);
      expect(cut.fatSpread).toBeLessThan(0.17);
      expect(cut.source).toMatch(/USDA|ASHRAE/);
      expect(cut.typicalThicknessMm).toBeGreaterThanOrEqual(15);
      expect(cut.typicalThicknessMm).toBeLessThanOrEqual(120);
    },
  );

  it('name tenderness classes that exist', () => {
    const known = TENDER_CLASSES.map(({ id }) => id as string);
    for (const cut of cuts)
      if (cut.tendernessClass !== null) expect(known, cut.id).toContain(cut.tendernessClass);
  });

  it('name the standards that the food is then judged by', () => {
    for (const cut of cuts) {
      const { id } = chooseStandard(cut).primary;
      const expected: string[] = [];
      if (cut.lethalityFoods.includes('fish')) expected.push('fda-fish');
      if (cut.lethalityFoods.includes('fsis-red-meat')) expected.push('fsis-meat');
      if (cut.lethalityFoods.includes('fsis-chicken') && cut.lethalityFoods.includes('fsis-turkey'))
        expected.push('fsis-other-poultry');
      else if (cut.lethalityFoods.includes('fsis-chicken')) expected.push('fsis-chicken');
      else if (cut.lethalityFoods.includes('fsis-turkey')) expected.push('fsis-turkey');
      expect(
        expected.some((start) => id.startsWith(start)),
        `${cut.id} is judged by ${id}`,
      ).toBe(true);
    }
  });

  it('say of wild game that it must reach 74 C, as Food Code 3-401.11(A)(3) has it', () => {
    const wild = cuts.filter((cut) => cut.lethalityFoods.includes('wild-game'));
    expect(wild.length).toBeGreaterThan(2);
    for (const cut of wild) expect(cut.notes, cut.id).toMatch(/74 C/);
  });

  it('mark vegetables as judged by texture only', () => {
    for (const cut of cuts.filter(({ family }) => family === 'vegetable')) {
      expect(cut.tendernessClass).toBeNull();
      expect(cut.notes).toMatch(/texture only/);
    }
  });

  it('keep the published composition where they cite ASHRAE table 3 or the USDA database', () => {
    // Copied apart from the data file: USDA SR 17035, 10080, 13147 with 13149, ASHRAE table 3 cod.
    const near = (id: string, water: number, protein: number, fat: number): void => {
      const of = cutById(id)!.composition;
      expect(
        Math.abs(of.water - water) + Math.abs(of.protein - protein) + Math.abs(of.fat - fat),
        id,
      ).toBeLessThan(1e-9);
    };
    near('lamb-shoulder', 0.6139, 0.1658, 0.2145);
    near('pork-neck', 0.6918, 0.1742, 0.1236);
    near('cod-loin', 0.8122, 0.1781, 0.0067);
    const ribs = cutById('beef-short-rib')!.composition;
    expect(Math.abs(ribs.water - (0.4829 + 0.6938) / 2)).toBeLessThan(0.0006);
    expect(Math.abs(ribs.fat - (0.3623 + 0.1019) / 2)).toBeLessThan(0.0006);
  });

  it('have a typical shape that conduction can take', () => {
    for (const cut of cuts) {
      const beta = betaOf(cut.typicalShape);
      expect(beta, cut.id).toBeGreaterThanOrEqual(0);
      expect(beta, cut.id).toBeLessThanOrEqual(2);
    }
  });
});

describe('how fast a cut heats', () => {
  it('lies between fat and water for every cut, at 20 to 80 C', () => {
    for (const cut of cuts) {
      for (const celsius of [20, 50, 80]) {
        const { diffusivity, densityKgM3, specificHeat } = thermalProperties(cut.composition, celsius);
        expect(diffusivity * 1e7, cut.id).toBeGreaterThan(0.95);
        expect(diffusivity * 1e7, cut.id).toBeLessThan(1.65);
        expect(densityKgM3, cut.id).toBeGreaterThan(930);
        expect(densityKgM3, cut.id).toBeLessThan(1090);
        expect(specificHeat, cut.id).toBeGreaterThan(2700);
        expect(specificHeat, cut.id).toBeLessThan(4180);
      }
    }
  });

  it('agrees with the diffusivity measured for beef chuck, 1.23e-7 m2/s at 40 to 65 C (ASHRAE table 7), within 3 %', () => {
    const { diffusivity } = thermalProperties(cutById('beef-chuck')!.composition, 52);
    expect(Math.abs(diffusivity / 1.23e-7 - 1)).toBeLessThan(0.03);
  });
});

describe('foods that are refused', () => {
  it('each say why, eggs in the shell and garlic in oil among them, and are no cut', () => {
    const ids = refusedFoods.map(({ id }) => id);
    expect(ids).toContain('egg-in-shell');
    expect(ids).toContain('garlic-or-herbs-in-oil');
    for (const { id, reason } of refusedFoods) {
      expect(reason.length).toBeGreaterThan(60);
      expect(cutById(id)).toBeUndefined();
    }
  });

  it('bone and grinding say what they change', () => {
    expect(boneInNote).toMatch(/diffusivity is wider/);
    expect(groundNote).toMatch(/stricter column/);
  });
});

describe('the page about food', () => {
  it('shows every model record, and the number of cuts it claims', () => {
    const page = readFileSync(new URL('../../shared/food/README.md', import.meta.url), 'utf8').replace(
      / +/g,
      ' ',
    );
    for (const { model, source, range, check, weakness } of foodModels) {
      expect(page).toContain(`| ${model} | ${source} | ${range} | ${check} | ${weakness} |`);
    }
    expect(foodModels[0]!.range).toContain(`${cuts.length} cuts`);
  });
});

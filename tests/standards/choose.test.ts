import { describe, expect, it } from 'vitest';
import type { LethalityFood } from '../../shared/food/cut.ts';
import { cuts } from '../../shared/food/cuts.ts';
import { lethalRate } from '../../shared/hazard/lethality-curve.ts';
import { chooseStandard, fatColumn } from '../../shared/hazard/standards/choose.ts';
import { standardById, standards } from '../../shared/hazard/standards/index.ts';

const meat = { family: 'red-meat', species: 'lamb', fatPercent: 18 };

describe('choosing a standard for a food', () => {
  it('takes 6.5 log for whole-muscle red meat and 7 log where it is ground', () => {
    expect(chooseStandard(meat).primary.id).toBe('fsis-meat-6.5');
    expect(chooseStandard({ ...meat, ground: true }).primary.id).toBe('fsis-meat-7');
  });

  it('takes the poultry table of the species, the fat column at or above, and 12 % where unknown (FSIS-GD-2021-0014)', () => {
    const bird = (species: string, fatPercent: number | null) =>
      chooseStandard({ family: 'poultry', species, fatPercent }).primary.id;
    expect(bird('chicken', 4.2)).toBe('fsis-chicken-7-fat5');
    expect(bird('turkey', 0.3)).toBe('fsis-turkey-7-fat1');
    expect(bird('turkey', 30)).toBe('fsis-turkey-7-fat12');
    expect(bird('chicken', null)).toBe('fsis-chicken-7-fat12');
    expect(bird('duck', 5)).toBe('fsis-other-poultry-7-fat5');
    expect(fatColumn(Number.NaN)).toBe(12);
  });

  it('judges by the fattest that the piece may be, not by the mean of its kind', () => {
    // Ground chicken varies from skinless breast to skin and all: 3 % in the mean, 8 % may be.
    const ground = { family: 'poultry', species: 'chicken', fatPercent: 2.95, fatSpread: 0.05, ground: true };
    expect(chooseStandard(ground).primary.id).toBe('fsis-chicken-7-fat8');
    for (const cut of cuts.filter(({ family }) => family === 'poultry')) {
      const { id } = chooseStandard(cut).primary;
      const most = Math.min(12, cut.fatPercent + 100 * cut.fatSpread);
      expect(Number(/fat(\d+)$/.exec(id)![1]), cut.id).toBeGreaterThanOrEqual(most - 1e-9);
    }
    const blade = { family: 'red-meat', species: 'beef', fatPercent: 6.5, fatSpread: 0.04 };
    expect(chooseStandard(blade).others.map(({ id }) => id)).toContain('ecoli-beef-25fat');
  });

  it('never takes for another bird a shorter time than chicken or turkey need', () => {
    const duck = chooseStandard({ family: 'poultry', species: 'duck', fatPercent: 8 }).primary;
    for (let c = 58; c < 75; c += 0.25) {
      const slower = Math.min(
        lethalRate(standardById('fsis-chicken-7-fat8'), c) || Infinity,
        lethalRate(standardById('fsis-turkey-7-fat8'), c),
      );
      expect(lethalRate(duck, c)).toBeLessThanOrEqual(slower * 1.0001);
    }
  });

  it('judges fish by Listeria, game by 7 log with the 74 C of the Food Code beside it, and what it does not know by the longest times', () => {
    expect(chooseStandard({ family: 'fish', species: 'fish', fatPercent: 2 }).primary.organism).toMatch(
      /Listeria/,
    );
    const game = chooseStandard({ family: 'game', species: 'venison', fatPercent: 3 });
    expect(game.primary.id).toBe('fsis-meat-7');
    expect(game.others.map((s) => s.id)).toContain('food-code-poultry');
    const rabbit = chooseStandard({ family: 'game', species: 'rabbit', fatPercent: 6 });
    expect(rabbit.primary.id).toBe('fsis-other-poultry-7-fat6');
    const strange = chooseStandard({ family: 'insects', species: 'cricket', fatPercent: 5 });
    expect(strange.primary.id).toBe('fsis-other-poultry-7-fat12');
    expect(strange.why).toContain('cricket');
  });

  it('shows beside it other organisms, each standard once, and says why in words', () => {
    for (const food of [
      meat,
      { family: 'poultry', species: 'goose', fatPercent: 20 },
      { family: 'vegetable', species: 'vegetable', fatPercent: 0 },
    ]) {
      const chosen = chooseStandard(food);
      const ids = [chosen.primary, ...chosen.others].map((s) => s.id);
      expect(new Set(ids).size).toBe(ids.length);
      expect(chosen.why.length).toBeGreaterThan(20);
      expect(ids).toContain('fda-fish-botulinum-np-6');
    }
  });
});

describe('every cut of the kitchen', () => {
  it('gets the standard that its record speaks of', () => {
    const expected: [LethalityFood, RegExp][] = [
      ['fish', /^fda-fish-listeria-6$/],
      ['fsis-chicken', /^fsis-(chicken|other-poultry)-7/],
      ['fsis-turkey', /^fsis-(turkey|other-poultry)-7/],
      ['fsis-red-meat', /^fsis-meat/],
    ];
    for (const cut of cuts) {
      const { primary, others } = chooseStandard(cut);
      const match = expected.find(([food]) => cut.lethalityFoods.includes(food));
      if (match) expect(primary.id, cut.id).toMatch(match[1]);
      if (cut.ground && cut.family === 'red-meat') expect(primary.id, cut.id).toBe('fsis-meat-7');
      if (cut.lethalityFoods.includes('wild-game'))
        expect(
          others.map((o) => o.id),
          cut.id,
        ).toContain('food-code-poultry');
    }
    expect(cuts.length).toBeGreaterThanOrEqual(40);
  });
});

describe('the records', () => {
  it('have ids of their own, a source, and rows that rise in temperature and never in time', () => {
    expect(new Set(standards.map((s) => s.id)).size).toBe(standards.length);
    for (const s of standards) {
      expect(s.source.length, s.id).toBeGreaterThan(10);
      expect(s.confirmed.length).toBeGreaterThan(5);
      if (s.kind !== 'table') continue;
      s.rows.slice(1).forEach((row, i) => {
        expect(row.celsius).toBeGreaterThan(s.rows[i]!.celsius);
        expect(row.seconds).toBeLessThanOrEqual(s.rows[i]!.seconds);
      });
    }
  });

  it('name what is known when an id is not', () => {
    expect(() => standardById('nonsense')).toThrow(/fsis-meat-6\.5/);
  });
});

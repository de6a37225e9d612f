import { describe, expect, it } from 'vitest';
import { planVerb } from '../../controller/cli/plan.ts';
import { emptyDish, emptyDraft } from '../../monitor/src/plan/draft.ts';
import { draftOf, formOf } from '../../monitor/src/plan/form-of.ts';
import { cure } from '../../shared/cure/cure.ts';
import type { DishAsked } from '../../shared/plan/complete-dish.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import type { Plan } from '../../shared/plan/types.ts';

const NOW_MS = Date.UTC(2026, 6, 2, 13, 0);
const planned = (cured: DishAsked['cure'], cut = 'pork-shoulder') =>
  planBackwards({
    nowMs: NOW_MS,
    serveBy: NOW_MS + 52 * 3.6e6,
    zone: 'Europe/Zurich',
    dishes: [{ cut, massKg: 2, cure: cured }],
  });
const cureStep = (plan: Plan) => plan.steps.find((step) => step.kind === 'cure')!;
/** 5 g of a curing salt with 6.25 % nitrite (the share of the handbook's examples). */
const curing = (curingSaltG: number) => ({ nitrite: { curingSaltG, nitriteFraction: 0.0625 } });

describe('the cure step of a plan', () => {
  it('has neither spices nor nitrite unless the dish asks for them', () => {
    const step = cureStep(planned(undefined));
    expect(Object.keys(step.amounts).filter((key) => /aromatic|curing|nitrite/.test(key))).toEqual([]);
    expect(`${step.how} ${step.cautions.join(' ')}`).not.toMatch(/nitrite|curing salt/);
  });

  it('weighs spices as a percent of the raw weight: 0.2 % of 2 kg are 4 g', () => {
    const step = cureStep(planned({ aromatics: [{ id: 'juniper', percent: 0.2 }, { id: 'garlic-powder' }] }));
    expect(step.amounts['aromatic.juniperG']).toBe(4);
    // The middle of 0.1 to 0.3 % (common practice, no source).
    expect(step.amounts['aromatic.garlic-powderG']).toBe(4);
    expect(step.how).toMatch(
      /weigh 30 g of salt, weigh 4\.0 g of juniper, crushed, weigh 4\.0 g of garlic, dried, rub all of it in/,
    );
    expect(step.cautions.some((words) => words.startsWith('Dried, never raw'))).toBe(true);
  });

  it('has curing salt weighed to a tenth, its ppm by the published formula, its salt taken off, and every caution', () => {
    const plan = planned({ saltPercent: 1.5, ...curing(5) });
    const step = cureStep(plan);
    // USDA FSIS Directive 7620.3, dry: nitrite / green weight x 1e6: 5 x 0.0625 / 2000 = 156.25 ppm; shown rounded up.
    expect(step.amounts).toMatchObject({ curingSaltG: 5, nitritePpm: 157 });
    // 1.5 % of 2 kg are 30 g, of which 5 g x 93.75 % come with the curing salt.
    expect(plan.dishes[0]!.cure!.saltG).toBeCloseTo(30 - 4.6875, 9);
    // Weighed and mixed before anything is rubbed in.
    expect(step.how).toMatch(
      /weigh 25 g of salt, weigh 5\.0 g of curing salt.*mix the two.*, rub all of it in/,
    );
    expect(step.amounts.curingSaltBringsG).toBeCloseTo(4.7, 9);
    expect(step.cautions.join(' ')).toContain('By weight only');
    expect(step.cautions.join(' ')).toContain('No credit is taken for nitrite');
    expect(step.source).toContain('21 CFR 172.170');
    const alone = cure({
      meatKg: 2,
      thicknessMm: plan.job.dishes[0]!.thicknessMm,
      saltPercent: 1.5,
      nitrite: { method: 'dry', curingSaltG: 5, nitriteFraction: 0.0625 },
    });
    expect(plan.dishes[0]!.cure!.nitrite).toEqual(alone.nitrite);
  });

  it('changes no time and no safety: nitrite earns nothing', () => {
    const [plain, cured] = [planned({ saltPercent: 1.5 }), planned({ saltPercent: 1.5, ...curing(5) })];
    expect(cured.steps.map(({ kind, atMs }) => [kind, atMs])).toEqual(
      plain.steps.map(({ kind, atMs }) => [kind, atMs]),
    );
    expect(cured.dishes[0]!.safe).toEqual(plain.dishes[0]!.safe);
  });

  it.each([
    // 21 CFR 172.170: 200 ppm; 6.5 x 0.0625 / 2000 = 203 ppm.
    ['over the limit for curing at home', { ...curing(6.5) }, /STOP: 203 ppm.*at most 200 ppm/],
    [
      'of a purer salt than kitchens have',
      { nitrite: { curingSaltG: 1, nitriteFraction: 0.5 } },
      /Purer salts/,
    ],
    [
      'with a packing in salt, whose uptake nobody knows',
      { method: 'packed' as const, ...curing(5) },
      /packing in salt/,
    ],
    ['that brings more salt than was asked for', { saltPercent: 0.2, ...curing(5) }, /more than 0.2 %/],
  ])('refuses nitrite %s, hard', (_, asked, words) => {
    expect(() => planned(asked)).toThrow(words);
  });

  it('takes ground meat by its own formula and stricter limit, and refuses nitrite on fish', () => {
    // USDA FSIS Directive 7620.3: comminuted, 156 ppm; 5.1 x 0.0625 / 2000 = 159 ppm.
    expect(() => planned({ saltPercent: 1.5, ...curing(5.1) }, 'pork-ground')).toThrow(/156 ppm/);
    expect(() => planned({ saltPercent: 1.5, ...curing(4) }, 'salmon-fillet')).toThrow(
      /meat and poultry only/,
    );
  });

  it('refuses a spice that is not known, and one asked for twice, by name', () => {
    expect(() => planned({ aromatics: [{ id: 'sawdust' }] })).toThrow(/aromatic "sawdust" is not known/);
    expect(() => planned({ aromatics: [{ id: 'thyme' }, { id: 'thyme' }] })).toThrow(
      /thyme was asked for twice/,
    );
  });
});

describe('bathkeeper plan', () => {
  const BASE = [
    '--serve-by',
    '2026-07-04 19:30',
    '--now',
    '2026-07-02T15:00:00+02:00',
    '--zone',
    'Europe/Zurich',
  ];
  async function said(...argv: string[]) {
    const outs: string[] = [];
    const errs: string[] = [];
    const io = { out: (text: string) => void outs.push(text), err: (text: string) => void errs.push(text) };
    const code = await planVerb([...BASE, '--cut', 'pork-shoulder', '--weight', '2kg', ...argv], io);
    return { code, out: outs.join(''), err: errs.join('') };
  }

  it('takes --aromatic, --curing-salt and --nitrite into the cure step', async () => {
    const { code, out } = await said(
      '--aromatic',
      'thyme=0.1%',
      '--curing-salt',
      '5g',
      '--nitrite',
      '6.25%',
      '--json',
    );
    expect(code).toBe(0);
    const { amounts } = cureStep(JSON.parse(out) as Plan);
    expect(amounts).toMatchObject({ 'aromatic.thymeG': 2, curingSaltG: 5, nitritePpm: 157 });
  });

  it('stops with exit code 2 over the limit, and where only half of it was said', async () => {
    expect(await said('--curing-salt', '6.5g', '--nitrite', '6.25%')).toMatchObject({ code: 2, out: '' });
    const half = await said('--curing-salt', '5g');
    expect(half.code).toBe(2);
    expect(half.err).toContain('nitrite needs both');
    expect((await said('--salt', '0%', '--aromatic', 'thyme')).code).toBe(2);
  });
});

describe("the page's form of a plan", () => {
  const dish = {
    ...emptyDish(1),
    cutId: 'pork-shoulder',
    mass: '2',
    spices: ['thyme', 'bay'],
    spiced: 'strong' as const,
    nitrite: true,
    curingSaltG: '5',
    nitritePercent: '6.25',
  };
  const draft = { ...emptyDraft('C', 'kg', 'Europe/Zurich'), time: '19:30', dishes: [dish] };

  it('carries spices and nitrite there and back', () => {
    const formed = formOf(draft, NOW_MS);
    if (!formed.ok) throw new Error(formed.missing.join());
    // Strong: the upper end of what is usual (common practice, no source).
    expect(formed.form.dishes[0]!.cure).toEqual({
      aromatics: [
        { id: 'thyme', percent: 0.15 },
        { id: 'bay', percent: 0.06 },
      ],
      nitrite: { curingSaltG: 5, nitriteFraction: 0.0625 },
    });
    expect(draftOf(formed.form, 'C', 'kg').dishes[0]).toEqual(dish);
  });

  it('asks for weight and share once nitrite is on, and sends none while it is off', () => {
    const half = formOf({ ...draft, dishes: [{ ...dish, curingSaltG: '' }] }, NOW_MS);
    expect(half).toEqual({ ok: false, missing: ['the weight of the curing salt'] });
    const off = formOf({ ...draft, dishes: [{ ...dish, nitrite: false }] }, NOW_MS);
    expect(off.ok && off.form.dishes[0]!.cure).not.toHaveProperty('nitrite');
  });
});

import { describe, expect, it } from 'vitest';
import { cutById } from '../../shared/food/cuts.ts';
import { filmFor } from '../../shared/food/film.ts';
import { thermalProperties } from '../../shared/food/properties.ts';
import { memberFilm } from '../../shared/hazard/envelope.ts';
import { chillOf, iceKg, keepWords, reheatOf } from '../../shared/plan/chill.ts';
import { foodOf } from '../../shared/plan/food.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { passings } from '../../shared/plan/solo.ts';
import type { Dish } from '../../shared/plan/types.ts';
import { usualBath } from '../../shared/plan/usual.ts';
import { inNight } from '../../shared/plan/zone.ts';
import { theta } from './food-reference.ts';
import { lambJob, stepOf, ZONE } from './plan-jobs.ts';

const cut = cutById('beef-chuck')!;
const slab = (thicknessMm: number): Dish => ({
  dishId: 'a',
  name: 'Beef chuck',
  cutId: cut.id,
  piecesCount: 1,
  pieceKg: 1,
  thicknessMm,
  betaRatio: 0,
  endpoint: 'fork-tender',
  startC: 5,
  cure: null,
  bath: usualBath(cut),
});

describe('cooling times', () => {
  it.each([25, 40, 60, 80])(
    'of %d mm are those of the eigenvalue series with the same film (separation of variables)',
    (mm) => {
      const food = foodOf(slab(mm), 40);
      const { body } = food.members[1];
      const film = memberFilm(food.members[1], filmFor({ circulation: 'pumped', waterC: 38 }));
      const biot = (film * body.thicknessM) / 2 / body.conductivity;
      for (const { celsius, middleS } of passings(food, 75, 1, [54.4, 21.1, 5])) {
        const fourier = (body.diffusivity * middleS!) / (body.thicknessM / 2) ** 2;
        expect(Math.abs(1 + 74 * theta(0, biot, fourier) - celsius)).toBeLessThan(0.25);
      }
    },
  );

  // One-term slab in a stirred slurry of 0 C whose surface follows it at once, diffusivity 1.35e-7 (worked): minutes.
  it.each([
    [25, 12, 23],
    [40, 30, 59],
    [60, 68, 133],
    [80, 121, 236],
  ])(
    'of %d mm are longer than the worked ones without a film, by what the film and 1 C of slurry take',
    (mm, to21, to5) => {
      const times = passings(foodOf(slab(mm), 40), 75, 1, [21, 5]);
      const scale = 1.35e-7 / thermalProperties(cut.composition, 45).diffusivity;
      for (const [i, worked] of [to21, to5].entries()) {
        const ratio = times[i]!.middleS! / 60 / (worked * scale);
        expect(ratio).toBeGreaterThan(1);
        expect(ratio).toBeLessThan(1 + 18 / mm);
      }
    },
  );

  it('warm as they cool, in order, and never to what the water never brings', () => {
    const food = foodOf(slab(40), 65);
    const [a, b, none] = passings(food, 4, 65, [30, 60, 66]);
    expect(a!.middleS!).toBeLessThan(b!.middleS!);
    expect(b!.fastS!).toBeLessThan(b!.middleS!);
    expect(b!.middleS!).toBeLessThan(b!.slowS!);
    expect(none!.middleS).toBeNull();
    expect(passings(food, 4, 65, [3])[0]!.middleS).toBe(0);
  });
});

describe('ice', () => {
  it('takes up the heat of the food: 1 kg from 75 to 4 C gives 249 kJ, which melt 0.74 kg (333.6 kJ/kg, from memory)', () => {
    // Melted ice with a quarter to spare, but never less than the food's own weight (common practice, no source).
    expect(iceKg(1, 75, 4)).toBeCloseTo(Math.max(1, (1.25 * 3.5 * 71) / 333.6), 9);
    expect(iceKg(2, 90, 4)).toBeCloseTo(2 * 1.25 * 0.9023, 2);
    expect(iceKg(1, 20, 4)).toBe(1);
    expect(() => iceKg(1, 4, 75)).toThrow(RangeError);
  });
});

describe('chilling against the cooling rule', () => {
  it('is in time for 40 mm and too slow for a thick piece, with the thickness that would do (Food Code 3-501.14: 2 h and 6 h)', () => {
    const thin = chillOf(foodOf(slab(40), 74), 1, 74, 'us-food-code');
    expect(thin.ok).toBe(true);
    expect(thin.legs.map((leg) => leg.limitS / 3600)).toEqual([2, 6]);
    const thick = chillOf(foodOf(slab(110), 74), 3, 74, 'us-food-code');
    expect(thick.ok).toBe(false);
    expect(thick.words).toMatch(/too thick to chill in time/);
    const enough = chillOf(foodOf(slab(thick.mostThicknessMm), 74), 3, 74, 'us-food-code');
    expect(enough.ok).toBe(true);
    expect(thick.mostThicknessMm).toBeGreaterThan(50);
  });

  it('says no store-until before cooling was recorded, and what it would take', () => {
    const keep = keepWords('conservative');
    expect(keep.words).toMatch(/No store-until is given: the cooling was not recorded/);
    expect(keep.words).toMatch(/48 h/);
    expect(keepWords('conservative', true).words).toMatch(/garlic/);
  });

  it('makes it hot again never above what it was cooked at, the core to 60 C where that was hotter', () => {
    const food = foodOf(slab(40), 74);
    const reheat = reheatOf(food, 4, 74);
    expect(reheat.bathC).toBe(74);
    expect(reheat.coreC).toBe(60);
    expect(reheat.hotS!.lowS).toBeLessThan(reheat.hotS!.highS);
    expect(reheatOf(food, 4, 58).coreC).toBe(56);
    expect(reheat.words).toMatch(/74 C at the core for 15 s/);
  });
});

describe('a dinner cooked the day before', () => {
  const plan = planBackwards(
    lambJob({
      serveFrom: 'fridge',
      serveBy: '2026-07-04 19:30',
      dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 60 }],
    }),
  );
  it('goes from the bath into ice, into the fridge, and hot to the table, each in its time', () => {
    expect(plan.status).toBe('odds-met');
    const kinds = ['food-in', 'safe', 'out', 'chilled', 'store', 'reheat', 'hot-again', 'plate'] as const;
    const times = kinds.map((kind) => stepOf(plan, kind).atMs);
    for (let i = 1; i < times.length; i++) expect(times[i]!, kinds[i]).toBeGreaterThanOrEqual(times[i - 1]!);
    expect(stepOf(plan, 'hot-again').bandMs![1]).toBeLessThanOrEqual(stepOf(plan, 'rest').atMs);
    expect(inNight(stepOf(plan, 'chilled').bandMs![1], plan.job.night, ZONE)).toBe(false);
    expect(Number(stepOf(plan, 'chill').amounts.iceKg)).toBeGreaterThanOrEqual(2);
    expect(plan.steps.filter((step) => step.kind === 'bath-on').length).toBe(2);
  });

  it('is not safe where ice cannot chill the pieces by the rule', () => {
    const thick = planBackwards(
      lambJob({
        serveFrom: 'fridge',
        serveBy: '2026-07-05 19:30',
        dishes: [{ cut: 'pork shoulder', massKg: 4, piecesCount: 1, thicknessMm: 120 }],
      }),
    );
    expect(thick.status).toBe('not-safe');
    expect(thick.words).toMatch(/too thick to chill in time/);
  });
});

import { describe, expect, it } from 'vitest';
import { planBackwards } from '../../shared/plan/plan.ts';
import { USUAL_RIG } from '../../shared/plan/rig.ts';
import { H_MS, lambJob, stepOf } from './plan-jobs.ts';

const neck = (more: object) => lambJob({ dishes: [{ cut: 'pork neck', ...more }] });
const lamb = (more: object) =>
  lambJob({ dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 70, ...more }] });

describe('food that is not cold', () => {
  // FDA Food Code 3-501.16: cold holding at 41 F (5 C) or less; 3-501.19: 70 F (21 C) at most for food out of it.
  it('is not planned for over 21 C, and says what to do with it', () => {
    expect(() => planBackwards(lamb({ startC: 25 }))).toThrow(
      /going in at is 25; expected -1 to 21 C: .*chilled at once/,
    );
  });

  it('is warned of first between 5 and 21 C, and its step does not call it cold', () => {
    const warm = planBackwards(lamb({ startC: 12 }));
    expect(warm.cautions[0]).toMatch(/Lamb shoulder.* goes in at 12 C: over 5 C .*3-501\.16/);
    expect(stepOf(warm, 'food-in').how).not.toMatch(/Cold from the fridge/);
    const cold = planBackwards(lamb({ startC: 5 }));
    expect(cold.cautions.join(' ')).not.toMatch(/goes in at/);
    expect(stepOf(cold, 'food-in').how).toMatch(/Cold from the fridge/);
  });

  it('is not kept or cured in a fridge over 5 C', () => {
    expect(() => planBackwards(lambJob({ fridgeC: 9 }))).toThrow(
      /fridge is 9; .*too warm for raw meat .*3-501\.16/,
    );
    expect(planBackwards(lambJob({ fridgeC: 5 })).status).toBe('odds-met');
  });
});

describe('a heavy piece whose thickness nobody gave', () => {
  it('is taken as thicker by the cube root of its weight, and says so', () => {
    // Similar bodies: length goes with the cube root of volume (geometry).
    const heavy = planBackwards(neck({ massKg: 5, piecesCount: 1 }));
    expect(heavy.job.dishes[0]!.thicknessMm).toBe(Math.round(80 * Math.cbrt(5 / 2.5)));
    expect(heavy.defaults.find((one) => /thickness/.test(one.field))!.why).toMatch(/5\.0 kg is thicker/);
    expect(planBackwards(neck({ massKg: 5 })).job.dishes[0]!.thicknessMm).toBe(80);
  });
});

describe('bags that leave room for less water', () => {
  it('have their heat-up and dip reckoned with what is poured in, not with all that the box holds empty', () => {
    const asked = {
      serveBy: '2026-07-04 19:30',
      dishes: [{ cut: 'lamb shoulder', massKg: 8, piecesCount: 4, thicknessMm: 60 }],
    };
    const less = planBackwards(lambJob(asked));
    const { pourLitres } = less.room;
    expect(pourLitres).toBeLessThan(20);
    expect(less.job.rig.waterLitres).toBe(pourLitres);
    // Energy balance: time to temperature at constant power goes with the water, the box's own capacity aside.
    const whole = Number(
      stepOf(planBackwards(lambJob({ serveBy: asked.serveBy })), 'bath-on').amounts.heatUpMin,
    );
    const ratio = Number(stepOf(less, 'bath-on').amounts.heatUpMin) / whole;
    expect(Math.abs(ratio - pourLitres / 21)).toBeLessThan(0.03);
  });
});

describe('a piece that is larger than the box is wide', () => {
  it('is told: folded it is thicker than planned for', () => {
    // 2 kg at 1.05 kg/L and 5 mm: about 0.39 m2, 62 cm square; the box is 32 cm square.
    const thin = planBackwards(neck({ massKg: 2, thicknessMm: 5 }));
    expect(thin.room.faults.join()).toMatch(
      /Pork neck: 2\.0 kg at 5 mm is 6\d cm square, the box 32 cm; folded/,
    );
    expect(planBackwards(lamb({ thicknessMm: 40 })).room.faults).toEqual([]);
  });
});

describe('what a plan says of itself', () => {
  it('does not claim the odds asked for where it falls short of them', () => {
    const late = planBackwards(lambJob({ serveBy: '2026-07-03 04:00', night: null }));
    expect(late.status).toBe('odds-short');
    expect(stepOf(late, 'food-in').why).toMatch(/sooner the better/);
    expect(stepOf(late, 'plate').why).toMatch(/if the fork said ready/);
    expect(stepOf(planBackwards(lambJob()), 'food-in').why).toMatch(/odds .* are what you asked for/);
  });

  it('offers first what meets the odds asked for', () => {
    const { offers } = planBackwards(lambJob({ serveBy: '2026-07-02 21:30' }));
    const odds = offers.map(({ oddsFraction }) => Math.min(oddsFraction ?? 1, 0.8));
    expect(odds.length).toBeGreaterThan(2);
    expect(odds).toEqual([...odds].sort((a, b) => b - a));
    expect(odds[0]).toBe(0.8);
  });

  it('offers for chilling that is too slow only what mends it', () => {
    const thick = lambJob({
      serveBy: '2026-07-05 19:30',
      serveFrom: 'fridge',
      dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 115 }],
    });
    const { status, offers } = planBackwards(thick);
    expect([status, offers.map((one) => one.id)]).toEqual(['not-safe', ['thinner-safe', 'from-bath']]);
    for (const { change } of offers) {
      const { thicknessMm = 115, serveFrom = 'fridge' } = change;
      const mended = planBackwards({ ...thick, serveFrom, dishes: [{ ...thick.dishes[0]!, thicknessMm }] });
      expect(mended.status).toBe('odds-met');
    }
  });

  it('offers instead of something unsafe only what is safe', () => {
    const cold = lambJob({
      serveBy: '2026-07-04 19:30',
      bathC: 58,
      dishes: [{ cut: 'chicken-breast', massKg: 1 }],
    });
    const { status, offers } = planBackwards(cold);
    expect(status).toBe('not-safe');
    expect(offers.length).toBeGreaterThan(0);
    for (const { id, change } of offers) {
      const {
        thicknessMm,
        bathC = 58,
        serveByMs,
        serveFrom,
        filmId = USUAL_RIG.filmId,
        fillC = USUAL_RIG.fillC,
      } = change;
      const taken = planBackwards({
        ...cold,
        bathC,
        serveBy: serveByMs ?? cold.serveBy,
        serveFrom,
        rig: { ...USUAL_RIG, filmId, fillC },
        dishes: [{ ...cold.dishes[0]!, thicknessMm }],
      });
      expect(taken.status, id).toMatch(/^odds-/);
    }
  });

  it('has no more decimals than a cook can read, whatever units were given', () => {
    // 165 F is 73.9 C, 2.75 in are 69.85 mm.
    const plan = planBackwards(
      lambJob({
        bathC: (165 - 32) / 1.8,
        dishes: [
          { cut: 'lamb shoulder', massKg: 4.4 * 0.45359237, thicknessMm: 69.85, startC: (39 - 32) / 1.8 },
        ],
      }),
    );
    const words = [
      plan.words,
      plan.bathWhy,
      ...plan.cautions,
      ...plan.defaults.map((one) => `${one.value} ${one.why}`),
    ];
    for (const { title, how, why } of plan.steps) words.push(title, how, why);
    expect(words.filter((text) => /\d\.\d{3}/.test(text))).toEqual([]);
    expect(plan.bathC).toBe(73.9);
  });

  it('says the hours of a cure alike in what to do and in why', () => {
    const soon = planBackwards(lambJob({ serveBy: '2026-07-03 16:00', night: null }));
    const { how, why } = stepOf(soon, 'cure');
    const hours = /, ([\d.]+) h at/.exec(how)![1];
    expect(why).toContain(`After ${hours} h in the fridge`);
  });
});

describe('names of dishes', () => {
  it('are said as a cook says them, in every title, on every surface', () => {
    const { steps, additions, words } = planBackwards(
      lambJob({
        serveBy: '2026-07-04 19:30',
        dishes: [
          { cut: 'lamb shoulder', massKg: 2 },
          { cut: 'pork neck', massKg: 1.5 },
        ],
      }),
    );
    const titles = steps.map((step) => step.title);
    expect([...titles, ...additions.map((one) => one.words), words].join()).not.toMatch(/boned/);
    expect(titles).toContain('Salt lamb shoulder: 30 g');
    expect(titles.join()).toMatch(/Food in: (lamb shoulder, pork neck|pork neck, lamb shoulder)/);
    expect(titles).toContain('Lamb shoulder out of the bath');
  });

  it('keep what food is minced: that decides how it is cooked', () => {
    const { job, steps } = planBackwards(
      lambJob({ bathC: undefined, dishes: [{ cut: 'beef-ground', massKg: 1 }] }),
    );
    expect(job.dishes[0]!.name).toBe('Ground beef');
    expect(steps.map((step) => step.title)).toContain('Food in: ground beef');
  });

  it('stay whole where two dishes would be called the same, and as the cook gave them', () => {
    const plan = planBackwards(
      lambJob({
        serveBy: '2026-07-05 19:30',
        dishes: [
          { cut: 'lamb-shoulder', massKg: 1 },
          { cut: 'lamb-shoulder-bone-in', massKg: 1.5 },
          { cut: 'pork-neck', massKg: 1, name: "Anna's birthday roast" },
        ],
      }),
    );
    const [boned, bone, roast] = plan.job.dishes.map((dish) => dish.name);
    expect(boned).not.toBe(bone);
    expect(roast).toBe("Anna's birthday roast");
    expect(stepOf(plan, 'cure', plan.job.dishes[2]!.dishId).title).toMatch(/^Salt Anna's birthday roast/);
  });
});

describe('top-ups', () => {
  const open = (waterLitres: number) =>
    planBackwards(lambJob({ serveBy: '2026-07-04 19:30', rig: { ...USUAL_RIG, lidOn: false, waterLitres } }));
  it('replace what has gone since the last one, wherever the night has moved them, and never let more go than they may', () => {
    for (const waterLitres of [21, 17, 15]) {
      const plan = open(waterLitres);
      const ups = plan.steps.filter((step) => step.kind === 'top-up');
      expect(ups.length).toBeGreaterThan(1);
      let last = stepOf(plan, 'bath-on').atMs;
      const half = (waterLitres - USUAL_RIG.openingM2 * USUAL_RIG.lowestMm) / 2;
      for (const { atMs, amounts } of ups) {
        // Conservation of mass: litres an hour times hours.
        const gone = (Number(amounts.evaporatesLitresPerH) * (atMs - last)) / H_MS;
        expect(Math.abs(Number(amounts.waterLitres) - gone)).toBeLessThan(0.15);
        expect(gone).toBeLessThan(half + 0.1);
        last = atMs;
      }
    }
  });

  it('that cannot wait till morning are told of in the night', () => {
    const plan = open(15);
    const dark = plan.steps.filter((step) => step.kind === 'top-up' && step.night);
    expect(dark.length).toBeGreaterThan(0);
    for (const step of dark) {
      const told = plan.reminders.find((one) => one.stepId === step.id)!;
      expect([told.nightNeeded, told.atMs]).toEqual([true, step.atMs]);
    }
  });
});

describe('a cold bag that hardly cools the water', () => {
  it('is not said to be beside what is already safe, which nobody looked at', () => {
    const { additions } = planBackwards(
      lambJob({
        serveBy: '2026-07-05 19:30',
        bathC: undefined,
        dishes: [
          { cut: 'lamb-shoulder', massKg: 2 },
          { cut: 'chicken-breast', massKg: 0.5 },
        ],
      }),
    );
    const felt = additions.filter((one) => one.dipC >= 0.5);
    const slight = additions.filter((one) => one.dipC < 0.5);
    expect(slight.length).toBeGreaterThan(0);
    for (const one of slight) expect(one.words).toMatch(/too little to be felt/);
    for (const one of felt) expect(one.words).not.toMatch(/too little to be felt/);
  });
});

import { describe, expect, it } from 'vitest';
import type { JobAsked } from '../../shared/plan/complete.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { rigAnswer, USUAL_RIG } from '../../shared/plan/rig.ts';
import type { Offer } from '../../shared/plan/types.ts';
import { at, DINNER, lambJob, NOW_MS } from './plan-jobs.ts';

/** The job again with what an offer changes. */
function changed(asked: JobAsked, { change }: Offer): JobAsked {
  const { serveByMs, thicknessMm, fillC, lidOn, filmId, bathC, serveFrom, night } = change;
  const rig = asked.rig ?? USUAL_RIG;
  return {
    ...asked,
    ...(bathC === undefined ? {} : { bathC }),
    ...(serveFrom === undefined ? {} : { serveFrom }),
    ...(night === undefined ? {} : { night }),
    serveBy: serveByMs ?? asked.serveBy,
    dishes: asked.dishes.map((dish) => (thicknessMm === undefined ? dish : { ...dish, thicknessMm })),
    rig: {
      ...rig,
      fillC: fillC ?? rig.fillC,
      lidOn: lidOn ?? rig.lidOn,
      filmId: filmId ?? rig.filmId,
    },
  };
}

describe('odds that cannot be met', () => {
  // Seven in the morning for the same evening: lamb shoulder needs longer than that, four times in five.
  const late = lambJob({ nowMs: at('2026-07-03T07:00:00+02:00'), serveBy: DINNER });
  const plan = planBackwards(late);

  it('are told with the odds there are, food in as soon as it can be', () => {
    expect(plan.status).toBe('odds-short');
    expect(plan.words).toMatch(/Too late for the odds asked for \(80 in 100\)/);
    expect(plan.oddsFraction).toBeGreaterThan(0.1);
    expect(plan.oddsFraction).toBeLessThan(0.75);
    const heatS = plan.rig.lidOn.heatUpHighS!;
    expect(plan.dishes[0]!.foodInMs - late.nowMs).toBeLessThan(1000 * heatS + 6 * 60_000);
    expect(plan.dishes[0]!.safe!.bandMs[1]).toBeLessThan(plan.dishes[0]!.outMs);
  });

  it('come with what can be done: hotter, thinner, later, the next day, the day before with chilling', () => {
    const ids = plan.offers.map((offer) => offer.id);
    for (const id of ['hotter', 'next-day', 'day-before']) expect(ids).toContain(id);
    expect(ids.includes('thinner') || ids.includes('other-film')).toBe(true);
  });

  it('are kept by each offer: planned anew with it, the odds are at least what it promised', () => {
    for (const offer of plan.offers) {
      const other = planBackwards(changed(late, offer));
      if (offer.oddsFraction !== null) {
        expect(other.oddsFraction, offer.id).toBeGreaterThanOrEqual(offer.oddsFraction - 0.05);
      }
      expect(other.status, offer.id).not.toBe('not-safe');
      expect(other.oddsFraction, offer.id).toBeGreaterThan(plan.oddsFraction);
    }
  });
});

describe('food that would not be safe', () => {
  it('gets no steps to follow, the reason by its rule, and offers that mend it', () => {
    const asked = lambJob({ nowMs: at('2026-07-03T15:00:00+02:00'), serveBy: DINNER });
    const plan = planBackwards(asked);
    expect(plan.status).toBe('not-safe');
    expect(plan.steps).toEqual([]);
    expect(plan.reminders).toEqual([]);
    expect(plan.words).toMatch(/too late.*not surely safe by FSIS/);
    expect(plan.offers.some((offer) => planBackwards(changed(asked, offer)).status === 'odds-met')).toBe(
      true,
    );
  });

  it('is refused by the conservative rules for hours between 55 and 60 C, and planned where the rules allow it', () => {
    const asked = lambJob({
      bathC: 58,
      serveBy: '2026-07-06 19:30',
      oddsFraction: 0.5,
      dishes: [{ cut: 'beef flank', massKg: 1 }],
    });
    const strict = planBackwards(asked);
    expect(strict.status).toBe('not-safe');
    expect(strict.words).toMatch(/between 55 and 60 C/);
    expect(planBackwards({ ...asked, profileId: 'us-food-code' }).status).not.toBe('not-safe');
  });

  it('is refused where the come-up takes longer than six hours in the worst case, and thinner pieces are offered', () => {
    const thick = lambJob({
      serveBy: '2026-07-06 19:30',
      bathC: 66,
      rig: { ...USUAL_RIG, openingM2: 0.2, waterLitres: 42, elementW: 2000 },
      dishes: [{ cut: 'pork leg', massKg: 12, piecesCount: 2, thicknessMm: 170 }],
    });
    const plan = planBackwards(thick);
    expect(plan.status).toBe('not-safe');
    expect(plan.words).toMatch(/10\.0 C and 54\.4 C/);
    expect(plan.offers.map((offer) => offer.id)).toContain('thinner-safe');
  });
});

describe('a rig that cannot', () => {
  const weak = { ...USUAL_RIG, elementW: 250, lidOn: false };
  it('is told so, with what it comes to and what would help', () => {
    const asked = lambJob({ rig: weak });
    const plan = planBackwards(asked);
    expect(plan.status).toBe('rig-cannot');
    expect(plan.steps).toEqual([]);
    expect(plan.words).toMatch(/comes to about \d\d C/);
    const lid = plan.offers.find((offer) => offer.id === 'lid')!;
    expect(planBackwards(changed(asked, lid)).status).toBe('odds-met');
  });

  it('answers a shopping list before anything is built: a covered bath heats faster and loses less (common practice, no source)', () => {
    const { lidOn, lidOff } = rigAnswer(USUAL_RIG, 74, 12);
    expect(lidOn.does && lidOff.does).toBe(true);
    expect(lidOn.heatUpMiddleS!).toBeLessThan(lidOff.heatUpMiddleS!);
    expect(lidOn.holdMeanW).toBeLessThan(0.3 * lidOff.holdMeanW);
    expect(lidOn.evaporationLitresPerH).toBeLessThan(0.15 * lidOff.evaporationLitresPerH);
    // Energy of the warm-up alone, worked: 21 L by 62 K at 4.18 kJ/(L K) = 5440 kJ = 1.51 kWh.
    expect(lidOn.totalKWh! - lidOn.holdKWh).toBeGreaterThan(1.5);
    expect(lidOn.totalKWh! - lidOn.holdKWh).toBeLessThan(1.8);
    expect(rigAnswer(USUAL_RIG, 74, 12, 0.3).lidOn.costInMoney!).toBeCloseTo(0.3 * lidOn.totalKWh!, 9);
  });
});

describe('a plan that would wake somebody', () => {
  it('is moved to the evening and offers the night instead', () => {
    const asked = lambJob();
    const plan = planBackwards(asked);
    const dark = plan.offers.find((offer) => offer.id === 'in-the-night')!;
    const other = planBackwards(changed(asked, dark));
    expect(other.dishes[0]!.foodInMs).toBeGreaterThan(plan.dishes[0]!.foodInMs);
    expect(other.dishes[0]!.overdoneFraction!).toBeLessThan(plan.dishes[0]!.overdoneFraction!);
    expect(NOW_MS).toBeLessThan(plan.dishes[0]!.foodInMs);
  });
});

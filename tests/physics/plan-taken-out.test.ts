import { describe, expect, it } from 'vitest';
import type { MeasuredBag } from '../../shared/plan/measured.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { reforecast } from '../../shared/plan/reforecast.ts';
import type { Plan } from '../../shared/plan/types.ts';
import { H_MS, lambJob, stepOf } from './plan-jobs.ts';

const dishes = [
  { cut: 'lamb shoulder', massKg: 2, thicknessMm: 70 },
  { cut: 'duck leg', massKg: 1.2 },
];
const both = planBackwards(lambJob({ dishes }));
const lamb = both.dishes.find((dish) => dish.dishId.startsWith('lamb'))!;
const duck = both.dishes.find((dish) => dish.dishId.startsWith('duck'))!;

/** The bath as foreseen, heated in a straight line and then held. */
function water(plan: Plan, untilMs: number) {
  const onMs = stepOf(plan, 'bath-on').atMs;
  const hotMs = stepOf(plan, 'bath-hot').atMs;
  const rows = [];
  for (let ms = onMs; ms <= untilMs; ms += 60_000) {
    rows.push({ atMs: ms, celsius: Math.min(74, 12 + (62 * (ms - onMs)) / (hotMs - onMs)) });
  }
  return rows;
}

/** Some hours after the lamb was taken out. */
function after(hours: number, outAfterH: number, tests: MeasuredBag['tests'] = []) {
  const outMs = lamb.foodInMs + outAfterH * H_MS;
  const nowMs = outMs + hours * H_MS;
  return reforecast(both, {
    nowMs,
    water: water(both, nowMs),
    bags: [
      { bagId: lamb.bagIds[0]!, inAtMs: lamb.foodInMs, outAtMs: outMs, tests: tests ?? [] },
      { bagId: duck.bagIds[0]!, inAtMs: duck.foodInMs },
    ],
  });
}
const of = (plan: Plan, id: string) => plan.dishes.find((dish) => dish.dishId === id)!;

describe('a bag that was taken out', () => {
  it('softens no more, and the other goes on', () => {
    const early = of(after(0.1, 9).plan, lamb.dishId);
    const late = of(after(6, 9).plan, lamb.dishId);
    expect(late.oddsFraction).toBeCloseTo(early.oddsFraction, 9);
    expect(late.moistureHighPercent!).toBeCloseTo(early.moistureHighPercent!, 6);
    const [one, other] = [after(0.1, 9), after(6, 9)].map(({ plan }) => of(plan, duck.dishId));
    // What is in goes on to the same odds at the table, however long the other has been out.
    expect(other!.oddsFraction).toBeCloseTo(one!.oddsFraction, 2);
  });

  it('has everything done but the table, and is reminded of no more', () => {
    const { plan } = after(1, 12);
    for (const kind of ['food-in', 'come-up', 'safe', 'fork-test', 'out', 'latest-start'] as const) {
      expect(stepOf(plan, kind, lamb.dishId).done).toBe(true);
    }
    expect(stepOf(plan, 'out', duck.dishId).done).toBe(false);
    expect(stepOf(plan, 'plate', lamb.dishId).done).toBe(false);
    expect(plan.reminders.some(({ stepId }) => stepId === `out-${lamb.dishId}`)).toBe(false);
    expect(plan.reminders.some(({ stepId }) => stepId === `out-${duck.dishId}`)).toBe(true);
  });

  it('is told to be unsafe where it was taken out before its standard was met', () => {
    const raw = after(1, 0.75).plan;
    expect(raw.status).toBe('not-safe');
    expect(raw.words).toMatch(/taken out before its core was surely safe/);
    expect(after(1, 12).plan.status).not.toBe('not-safe');
  });

  it('counts for nothing in what can be done with the bath', () => {
    const options = after(1, 12).options.find((one) => one.id === 'go-on')!;
    const alone = of(after(1, 12).plan, duck.dishId);
    expect(options.oddsFraction).toBeCloseTo(alone.oddsFraction, 2);
  });

  it('leaves nothing to forecast once all are out', () => {
    const nowMs = lamb.foodInMs + 12 * H_MS;
    const bags = both.dishes.map(({ bagIds, foodInMs }) => ({
      bagId: bagIds[0]!,
      inAtMs: foodInMs,
      outAtMs: nowMs,
    }));
    expect(() => reforecast(both, { nowMs, water: water(both, nowMs), bags })).toThrow(/every bag is out/);
  });

  it('is said to be ready, not late, once the fork has said so', () => {
    const outMs = lamb.foodInMs + 12 * H_MS;
    const { changes } = after(1, 12, [{ atMs: outMs - 60_000, answer: 'ready' }]);
    expect(changes.map(({ kind }) => kind)).toEqual(['fork-test']);
    expect(changes[0]!.words).toMatch(/ready\. It is more likely ready than not\./);
  });
});

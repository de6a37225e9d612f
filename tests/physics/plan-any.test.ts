/** Whatever is asked, a plan keeps its word: drawn jobs, rigs and hours. PLAN_SEEDS sets how many; 60 unless said. */
import { describe, expect, it } from 'vitest';
import { cuts } from '../../shared/food/cuts.ts';
import type { JobAsked } from '../../shared/plan/complete.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { reforecast } from '../../shared/plan/reforecast.ts';
import { type DescribedRig, USUAL_RIG } from '../../shared/plan/rig.ts';
import type { Plan } from '../../shared/plan/types.ts';
import { newRandom, pick, type Random, uniform, uniformBetween } from '../../shared/units/random.ts';
import { H_MS } from './plan-jobs.ts';

const SEEDS = Number(process.env.PLAN_SEEDS ?? 60);
const edible = cuts.filter((cut) => cut.family !== 'vegetable');
const one = <T>(random: Random, of: readonly T[]): T => of[pick(random, of.length)]!;

function drawRig(random: Random): DescribedRig {
  const waterLitres = uniformBetween(random, 6, 60);
  return {
    ...USUAL_RIG,
    waterLitres,
    openingM2: waterLitres / 200,
    elementW: uniformBetween(random, 150, 3000),
    lidOn: uniform(random) < 0.8,
    insulationMm: uniformBetween(random, 0, 50),
    altitudeM: uniformBetween(random, 0, 2500),
    filmId: one(random, ['ldpe-zip', 'pp-pouch', 'pa-pe-pouch']),
    circulation: one(random, ['pumped', 'pumped', 'still'] as const),
  };
}

function drawJob(seed: number): JobAsked {
  const random = newRandom(seed);
  const nowMs = Date.UTC(2026, 6, 2) + Math.floor(uniform(random) * 24 * H_MS);
  return {
    nowMs,
    serveBy: nowMs + uniformBetween(random, 1, 90) * H_MS,
    zone: one(random, ['Europe/Zurich', 'America/Denver', 'Asia/Kathmandu']),
    rig: drawRig(random),
    dishes: Array.from({ length: 1 + pick(random, 4) }, () => ({
      cut: one(random, edible).id,
      massKg: uniformBetween(random, 0.2, 4),
      cure: one(random, [undefined, undefined, null, { method: 'packed', saltPercent: 1.5 } as const]),
      endpoint: one(random, [undefined, 'sliceable', 'fork-tender', 'shreds'] as const),
    })),
    serveFrom: one(random, ['bath', 'bath', 'bath', 'fridge'] as const),
    bathC: one(random, [undefined, undefined, Math.round(uniformBetween(random, 55, 80))]),
    oddsFraction: uniformBetween(random, 0.5, 0.97),
    night: one(random, [undefined, undefined, null]),
    profileId: one(random, ['conservative', 'us-food-code', 'usda-fsis']),
  };
}

function holds(plan: Plan, seed: number): void {
  const say = (what: string) => `seed ${seed} ${what}: ${plan.words}`;
  expect(JSON.stringify(plan), say('numbers')).not.toMatch(/NaN|Infinity/);
  for (const step of plan.steps) {
    if (step.bandMs) {
      expect(step.bandMs[0], say(step.id)).toBeLessThanOrEqual(step.atMs);
      expect(step.bandMs[1], say(step.id)).toBeGreaterThanOrEqual(step.atMs);
    }
    if (step.who === 'person' && plan.status === 'odds-met') {
      expect(step.atMs, say(step.id)).toBeGreaterThanOrEqual(plan.madeAtMs);
    }
  }
  if (plan.status === 'not-safe' || plan.status === 'rig-cannot')
    expect(plan.steps, say('steps')).toEqual([]);
  if (plan.status !== 'odds-met') return;
  expect(plan.oddsFraction, say('odds')).toBeGreaterThanOrEqual(plan.oddsWantedFraction - 0.011);
  for (const dish of plan.dishes) {
    expect(dish.safe!.bandMs[1], say('safe')).toBeLessThanOrEqual(dish.outMs);
    expect(dish.comeUpWorstS, say('come-up')).toBeLessThanOrEqual(dish.comeUpLimitS);
    expect(dish.foodInMs, say('in')).toBeGreaterThan(plan.madeAtMs);
  }
}

describe(`any of ${SEEDS} drawn jobs`, () => {
  it('is planned without a fault, and what it promises holds in its own figures', () => {
    const statuses = new Map<string, number>();
    for (let seed = 1; seed <= SEEDS; seed++) {
      const plan = planBackwards(drawJob(seed));
      holds(plan, seed);
      statuses.set(plan.status, (statuses.get(plan.status) ?? 0) + 1);
    }
    // A draw in which everything can be met, or nothing, would show nothing.
    for (const status of ['odds-met', 'odds-short', 'not-safe'])
      expect(statuses.get(status) ?? 0).toBeGreaterThan(3);
  }, 120_000);

  it('is forecast anew while it runs, without a fault', () => {
    let running = 0;
    for (let seed = 1; seed <= SEEDS; seed++) {
      const plan = planBackwards(drawJob(seed));
      const first = plan.dishes[0];
      if (plan.status !== 'odds-met' || !first) continue;
      const nowMs = first.foodInMs + 4 * H_MS;
      if (nowMs >= plan.serveByMs) continue;
      const water = Array.from({ length: 241 }, (_, i) => ({
        atMs: nowMs - i * 60_000,
        celsius: plan.bathC,
      }));
      const bags = plan.dishes.flatMap(({ bagIds, foodInMs }) =>
        bagIds.map((bagId) => ({ bagId, inAtMs: foodInMs <= nowMs ? foodInMs : null })),
      );
      const outlook = reforecast(plan, { nowMs, water, bags });
      expect(JSON.stringify(outlook), `seed ${seed}`).not.toMatch(/NaN|Infinity/);
      expect(outlook.options[0]!.id).toBe('go-on');
      running++;
    }
    expect(running).toBeGreaterThan(10);
  }, 120_000);
});

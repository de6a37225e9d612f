/**
 * Are the plan's bands and odds honest? Drawn rigs and foods, run in the simulated plant (its own conduction, two water
 * layers, a plain thermostat on a probe with its error), readiness drawn from the class priors.
 * CALIBRATION_SEEDS sets how many; 100 unless said.
 */
import { describe, expect, it } from 'vitest';
import { cutById } from '../../shared/food/cuts.ts';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { limitProfile } from '../../shared/hazard/profiles.ts';
import { chooseStandard } from '../../shared/hazard/standards/choose.ts';
import { reforecast } from '../../shared/plan/reforecast.ts';
import type { DishPlan, Plan } from '../../shared/plan/types.ts';
import { tenderRate } from '../../shared/tender/kinetics.ts';
import { newRandom, uniformBetween } from '../../shared/units/random.ts';
import { type Case, cook, drawCase, type Went } from './plan-rigs.ts';

const SEEDS = Number(process.env.CALIBRATION_SEEDS ?? 100);
const CUT_S = 40 * 60;

interface Score {
  readonly band: Record<string, { in: number; of: number; out: string[] }>;
  held80: number;
  held50: number;
  of: number;
  ratios: number[];
}

const empty = (): Score => ({ band: {}, held80: 0, held50: 0, of: 0, ratios: [] });

function count(score: Score, step: string, inside: boolean, words: string): void {
  const found = score.band[step] ?? { in: 0, of: 0, out: [] };
  score.band[step] = found;
  found.of++;
  if (inside) found.in++;
  else found.out.push(words);
}

/** Seconds since bath on at which the true core first is at a temperature. */
function passS(went: Went, celsius: number): number {
  return went.core.find((m) => m.celsius >= celsius)?.atS ?? Number.POSITIVE_INFINITY;
}

/** When the food was really safe by its standard: the record's own integral along the true core. */
function safeS(one: Case, went: Went): number {
  const standard = chooseStandard(cutById(one.plan.job.dishes[0]!.cutId)!).primary;
  let state = startLethality(standard);
  for (let i = 1; i < went.core.length; i++) {
    const [a, b] = [went.core[i - 1]!, went.core[i]!];
    state = addLethality(standard, state, a.celsius, b.celsius, b.atS - a.atS, b.atS);
    const met = [state.metAtS, state.dwell?.metAtS].filter((t) => typeof t === 'number');
    if (met.length > 0) return Math.min(...met);
  }
  return Number.POSITIVE_INFINITY;
}

/** When it was really ready: softening along the true core at the drawn activation energy; then at the last core. */
function readyS({ truth: is }: Case, went: Went): number {
  let hours = 0;
  for (let i = 1; i < went.core.length; i++) {
    const [a, b] = [went.core[i - 1]!, went.core[i]!];
    hours += (tenderRate((a.celsius + b.celsius) / 2, is.activationKjMol) * (b.atS - a.atS)) / 3600;
    if (hours >= is.hours) return b.atS;
  }
  const last = went.core.at(-1)!;
  return last.atS + (3600 * (is.hours - hours)) / tenderRate(last.celsius, is.activationKjMol);
}

/** Holds a plan against what happened. `offMs`: how much later than planned the food really went in. */
function hold(score: Score, one: Case, went: Went, plan: Plan, offMs: number): void {
  const dish = plan.dishes[0]!;
  const onMs = bathOnMs(one.plan);
  const ms = (s: number) => onMs + 1000 * s;
  const within = (at: number, band: readonly [number, number], off: number) =>
    at >= band[0] + off && at <= band[1] + off;
  const say = (step: string, s: number, band: readonly [number, number]) =>
    `seed ${one.seed} ${step}: ${((ms(s) - band[0]) / (band[1] - band[0])).toFixed(2)} of the band`;
  const profile = limitProfile(plan.job.profileId);
  if (plan === one.plan) {
    const hot = plan.steps.find((step) => step.kind === 'bath-hot')!;
    count(score, 'bath hot', within(ms(went.hotS), hot.bandMs!, 0), say('hot', went.hotS, hot.bandMs!));
  }
  const through = passS(went, profile.comeUp.highC);
  count(
    score,
    'come-up',
    within(ms(through), dish.comeUp!.bandMs, offMs),
    say('come-up', through, dish.comeUp!.bandMs),
  );
  const safe = safeS(one, went);
  count(score, 'safe', within(ms(safe), dish.safe!.bandMs, offMs), say('safe', safe, dish.safe!.bandMs));
  odds(score, ms(readyS(one, went)) - offMs, dish);
}

function odds(score: Score, readyMs: number, { ready }: DishPlan): void {
  score.of++;
  if (readyMs >= ready.p10Ms! && readyMs <= (ready.p90Ms ?? Number.POSITIVE_INFINITY)) score.held80++;
  if (readyMs >= ready.p25Ms! && readyMs <= (ready.p75Ms ?? Number.POSITIVE_INFINITY)) score.held50++;
  if (ready.spanRatio !== null) score.ratios.push(ready.spanRatio);
}

const bathOnMs = (plan: Plan) => plan.steps.find((step) => step.kind === 'bath-on')!.atMs;

function judge(score: Score, name: string): void {
  const scale = 100 / score.of;
  const bands = Object.entries(score.band).map(([step, b]) => `${step} ${b.in}/${b.of}`);
  const mean = score.ratios.reduce((a, b) => a + b, 0) / score.ratios.length;
  console.log(
    `${name}: ${bands.join(', ')}; 10-90 held ${(score.held80 * scale).toFixed(0)} %, 25-75 ${(score.held50 * scale).toFixed(0)} % of ${score.of}; span over middle ${mean.toFixed(2)}`,
  );
  for (const [step, b] of Object.entries(score.band)) {
    expect(b.in / b.of, `${step}: ${b.out.join('; ')}`).toBeGreaterThanOrEqual(0.95);
  }
  expect(score.held80 * scale).toBeGreaterThanOrEqual(72);
  expect(score.held80 * scale).toBeLessThanOrEqual(88);
  expect(score.held50 * scale).toBeGreaterThanOrEqual(40);
  expect(score.held50 * scale).toBeLessThanOrEqual(60);
}

const cases: Case[] = [];
for (let seed = 1; cases.length < SEEDS && seed < 2 * SEEDS + 20; seed++) {
  const one = drawCase(seed);
  if (one) cases.push(one);
}

describe(`the plan, held against ${SEEDS} drawn rigs and foods`, () => {
  it('keeps each physical step in its 99 % band in at least 95 of 100, and readiness in its span as often as it says', () => {
    expect(cases.length).toBe(SEEDS);
    const score = empty();
    for (const one of cases) {
      const went = cook(one, null);
      const offMs = bathOnMs(one.plan) + 1000 * went.inS - one.plan.dishes[0]!.foodInMs;
      hold(score, one, went, one.plan, Math.max(0, offMs));
    }
    judge(score, 'undisturbed');
  }, 300_000);

  it('does so too when the power is cut for 40 min and the plan is forecast anew from the measured water', () => {
    const score = empty();
    for (const one of cases) {
      const random = newRandom(one.seed + 0.5);
      const afterS = Math.round(uniformBetween(random, 900, 4 * 3600));
      const went = cook(one, { afterS, forS: CUT_S });
      const onMs = bathOnMs(one.plan);
      const nowS = went.inS + afterS + CUT_S + 600;
      const outlook = reforecast(one.plan, {
        nowMs: onMs + 1000 * nowS,
        bathOnMs: onMs,
        water: went.probe
          .filter((p) => p.atS <= nowS)
          .map((p) => ({ atMs: onMs + 1000 * p.atS, celsius: p.celsius })),
        bags: [{ bagId: one.plan.dishes[0]!.bagIds[0]!, inAtMs: onMs + 1000 * went.inS }],
      });
      hold(score, one, went, outlook.plan, 0);
    }
    judge(score, 'power cut');
  }, 300_000);
});

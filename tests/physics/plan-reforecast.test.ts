import { describe, expect, it } from 'vitest';
import { PlanFault } from '../../shared/plan/fault.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { type Outlook, reforecast } from '../../shared/plan/reforecast.ts';
import { H_MS, lambJob, stepOf } from './plan-jobs.ts';
import { bagId, cutAway, dish, heatMs, inMs, log, onMs, plan, running } from './plan-running.ts';

describe('a running plan', () => {
  it('stays as it was where everything went as foreseen', () => {
    const now = running(5);
    expect(now.changes).toEqual([]);
    const { ready } = now.plan.dishes[0]!;
    // The odds so far have passed; what is ahead has not moved.
    expect(Math.abs(ready.p50Ms! - dish.ready.p50Ms!)).toBeLessThan(5 * 60_000);
    expect(Math.abs(ready.p90Ms! - dish.ready.p90Ms!)).toBeLessThan(10 * 60_000);
    expect(now.plan.oddsFraction).toBeCloseTo(plan.oddsFraction, 2);
    expect(stepOf(now.plan, 'food-in').done).toBe(true);
    expect(stepOf(now.plan, 'safe').done).toBe(true);
    expect(stepOf(now.plan, 'out').done).toBe(false);
    expect(stepOf(now.plan, 'cure').atMs).toBe(stepOf(plan, 'cure').atMs);
    expect(now.plan.reminders.every((one) => !one.stepId.startsWith('food-in'))).toBe(true);
  });

  it('gives the same from the plan as it comes out of JSON', () => {
    const nowMs = inMs + 5 * H_MS;
    const measured = { nowMs, water: log(nowMs), bags: [{ bagId, inAtMs: inMs }] };
    const copy = JSON.parse(JSON.stringify(plan));
    expect(JSON.stringify(reforecast(copy, measured))).toBe(JSON.stringify(reforecast(plan, measured)));
  });

  it('moves everything when the bath heats slower than foreseen, by the pace it was seen to have', () => {
    const nowMs = onMs + heatMs;
    const slow = (ms: number) => 0.4 * Math.min(62, (62 * (ms - onMs)) / heatMs);
    const late = reforecast(plan, { nowMs, water: log(nowMs, slow), bags: [] });
    const change = late.changes.find((one) => one.kind === 'late-heat-up')!;
    expect(change.words).toMatch(/later than the latest foreseen/);
    // 60 % of the way in the time of the whole: the rest takes two thirds of that again, and more as losses grow.
    const hotMs = stepOf(late.plan, 'bath-hot').atMs;
    expect((hotMs - nowMs) / heatMs).toBeGreaterThan(0.6);
    expect((hotMs - nowMs) / heatMs).toBeLessThan(0.95);
    expect(late.plan.dishes[0]!.foodInMs).toBeGreaterThan(inMs);
    expect(late.plan.dishes[0]!.ready.p50Ms!).toBeGreaterThan(dish.ready.p50Ms!);
    expect(late.options).toEqual([]);
  });

  it('tells a bath that was switched on late from one that heats slowly', () => {
    const lateMs = 50 * 60_000;
    const rows = log(inMs + lateMs).map((row) => ({ ...row, atMs: row.atMs + lateMs }));
    const nowMs = onMs + heatMs + lateMs + 60_000;
    const water = rows.filter((row) => row.atMs <= nowMs);
    const late = reforecast(plan, { nowMs, water, bags: [], bathOnMs: onMs + lateMs });
    expect(late.changes.map((one) => one.kind)).toEqual(['late-heat-up']);
    expect(late.changes[0]!.words).toMatch(/switched on 50 min later than planned/);
    expect(late.changes[0]!.words).not.toMatch(/check lid/);
  });

  it('tells of food that went in earlier or later than planned, with what it does to readiness', () => {
    const lateMs = 90 * 60_000;
    const later = running(5, { bags: [{ bagId, inAtMs: inMs + lateMs }] });
    expect(later.changes.map((one) => one.kind)).toEqual(['food-in']);
    expect(later.changes[0]!.words).toMatch(
      /went in 1 h 30 min later than planned\. .*moves 1 h \d\d min later/,
    );
    expect(later.changes[0]!.sinceMs).toBe(inMs + lateMs);
    expect(running(5, { bags: [{ bagId, inAtMs: inMs + 10 * 60_000 }] }).changes).toEqual([]);
  });

  it('tells a power cut from a dip, and puts readiness later by what the core lost', () => {
    const nowMs = inMs + 4 * H_MS;
    const cut = running(4, { water: log(nowMs, cutAway) });
    const change = cut.changes.find((one) => one.kind === 'heat-lost')!;
    expect(change.words).toMatch(/down to 68\.\d C/);
    const moved = cut.plan.dishes[0]!.ready.p50Ms! - dish.ready.p50Ms!;
    expect(moved).toBeGreaterThan(3 * 60_000);
    expect(moved).toBeLessThan(65 * 60_000);
    const dipAway = (ms: number) =>
      Math.max(0, Math.min((ms - inMs) / 60_000, 4) - Math.max(0, (ms - inMs - 600_000) / 200_000));
    const dip = running(2, { water: log(inMs + 2 * H_MS, dipAway) });
    expect(dip.changes.map((one) => one.kind)).toEqual(['dip']);
  });

  it('counts an unmeasured stretch for nothing and says so', () => {
    const nowMs = inMs + 5 * H_MS;
    const hole = log(nowMs).filter((row) => row.atMs < inMs + 0.5 * H_MS || row.atMs > inMs + 3 * H_MS);
    const gap = running(5, { water: hole });
    expect(gap.changes.some((one) => one.kind === 'gap')).toBe(true);
    expect(gap.plan.dishes[0]!.safe!.bandMs[1]).toBeGreaterThan(dish.safe!.bandMs[1]);
  });

  it('says until when a bath without heat stays above the limits, by the fall that was seen', () => {
    const nowMs = inMs + 4 * H_MS;
    const fall = (ms: number) => Math.max(0, (4 * (ms - (nowMs - 0.5 * H_MS))) / H_MS);
    const out = running(4, { water: log(nowMs, fall), heatAvailable: false });
    const change = out.changes.find((one) => one.kind === 'no-heat')!;
    expect(change.coolDown!.map((one) => one.celsius)).toEqual([
      60,
      expect.closeTo(57.2, 1),
      expect.closeTo(54.4, 1),
    ]);
    // 4 C an hour seen, from 72 C: 60 C in three hours at that speed, later as the losses fall with the temperature.
    const hours = change.coolDown![0]!.atS / 3600;
    expect(hours).toBeGreaterThan(2.9);
    expect(hours).toBeLessThan(4.8);
    expect(change.coolDown![0]!.lowS).toBeLessThan(change.coolDown![0]!.atS);
  });
});

describe('fork tests', () => {
  const untested = running(10).plan.dishes[0]!;
  it('move the forecast the way they point, and narrow it', () => {
    const notYet = running(10, {}, ['not-yet']).plan.dishes[0]!;
    const nearly = running(10, {}, ['nearly']).plan.dishes[0]!;
    const ready = running(10, {}, ['ready']).plan.dishes[0]!;
    expect(notYet.oddsFraction).toBeLessThan(untested.oddsFraction);
    expect(nearly.ready.p50Ms!).toBeLessThan(notYet.ready.p50Ms!);
    expect(ready.oddsFraction).toBeGreaterThan(0.97);
    expect(nearly.ready.spanRatio!).toBeLessThan(notYet.ready.spanRatio!);
    expect(nearly.ready.spanRatio!).toBeLessThan(0.5 * dish.ready.spanRatio!);
  });

  it('ask for the next one until one says ready', () => {
    const step = stepOf(running(10, {}, ['not-yet']).plan, 'fork-test');
    expect(step.done).toBe(false);
    expect(step.title).toMatch(/^Next/);
    expect(stepOf(running(10, {}, ['not-yet', 'ready']).plan, 'fork-test').done).toBe(true);
  });
});

describe('dinner moved', () => {
  const option = (outlook: Outlook, id: string) => outlook.options.find((one) => one.id === id);
  it('earlier: hotter, or served firmer, each with its odds and what it does', () => {
    const sooner = running(10, { serveByMs: plan.serveByMs - 6 * H_MS });
    expect(sooner.changes.map((one) => one.kind)).toEqual(['dinner-moved']);
    expect(sooner.plan.status).toBe('odds-short');
    const goOn = option(sooner, 'go-on')!;
    const hotter = option(sooner, 'hotter')!;
    expect(hotter.setpointC!).toBeGreaterThan(plan.bathC);
    expect(hotter.oddsFraction).toBeGreaterThan(goOn.oddsFraction);
    expect(hotter.overdoneFraction!).toBeGreaterThan(goOn.overdoneFraction!);
    expect(option(sooner, 'serve-firmer')!.oddsFraction).toBeGreaterThan(goOn.oddsFraction);
  });

  it('later: hold, slow down or chill, gentler than going on', () => {
    const later = running(10, { serveByMs: plan.serveByMs + 6 * H_MS }, ['nearly']);
    const goOn = option(later, 'go-on')!;
    for (const id of ['hold', 'slow-down'] as const) {
      const gentle = option(later, id)!;
      expect(gentle.setpointC!).toBeLessThan(plan.bathC);
      expect(gentle.overdoneFraction!).toBeLessThan(goOn.overdoneFraction!);
      expect(gentle.oddsFraction).toBeGreaterThan(0.75);
    }
    expect(option(later, 'hold')!.setpointC!).toBeGreaterThan(60);
    expect(option(later, 'chill')!.words).toMatch(/kg of ice/);
    for (const one of later.options) {
      expect(one.safety.length).toBeGreaterThan(10);
      expect(one.texture.length).toBeGreaterThan(10);
    }
  });

  it('lets nobody make the bath gentler before every standard is met, and says when that is', () => {
    const young = running(1, { serveByMs: plan.serveByMs + 6 * H_MS });
    const safeMs = young.plan.dishes[0]!.safe!.bandMs[1];
    const gentle = young.options.filter(({ id }) => id === 'hold' || id === 'slow-down');
    expect(gentle.map(({ id }) => id)).toEqual(['hold', 'slow-down']);
    for (const one of gentle) {
      expect(Math.abs(one.notBeforeMs! - safeMs)).toBeLessThan(60_000);
      expect(one.words).toMatch(/when every standard is met/);
    }
    const safe = running(10, { serveByMs: plan.serveByMs + 6 * H_MS });
    for (const one of safe.options) expect(one.notBeforeMs).toBeNull();
    expect(option(safe, 'hold')!.words).toMatch(/now/);
  });

  it('before the food is in moves the food with it, unless that would wake somebody', () => {
    const day = planBackwards(lambJob({ serveBy: '2026-07-04 21:00', oddsFraction: 0.6, night: null }));
    const hotMs = stepOf(day, 'bath-hot').atMs;
    const from = stepOf(day, 'bath-on').atMs;
    const water: { atMs: number; celsius: number }[] = [];
    for (let ms = from; ms <= hotMs; ms += 60_000) {
      water.push({ atMs: ms, celsius: Math.min(74, 12 + (62 * (ms - from)) / (hotMs - from)) });
    }
    const moved = (of: typeof day) =>
      reforecast(of, { nowMs: hotMs, water, bags: [], serveByMs: of.serveByMs + 3 * H_MS }).plan.dishes[0]!;
    const [was] = day.dishes;
    const now = moved(day);
    expect((now.foodInMs - was!.foodInMs) / H_MS).toBeCloseTo(3, 1);
    expect(now.oddsFraction).toBeCloseTo(was!.oddsFraction, 1);
    const at = new Date(was!.foodInMs + 3 * H_MS + 2 * H_MS).getUTCHours() * 60;
    const night = { fromMin: (at - 60 + 1440) % 1440, toMin: (at + 120) % 1440 };
    const asleep = moved({ ...day, job: { ...day.job, night } });
    expect(asleep.foodInMs - was!.foodInMs).toBeLessThan(0.5 * H_MS);
  });

  it('is refused where it lies in the past, or what was measured is not of this plan', () => {
    expect(() => running(10, { serveByMs: inMs })).toThrow(/serve-by has passed/);
    expect(() => running(1, { bags: [{ bagId: 'goose', inAtMs: inMs }] })).toThrow(PlanFault);
    expect(() => running(1, { water: [] })).toThrow(/no water temperature/);
    expect(() =>
      running(1, { bags: [{ bagId, inAtMs: inMs, tests: [{ atMs: inMs - 1, answer: 'ready' }] }] }),
    ).toThrow(/before it went in/);
  });
});

import { describe, expect, it } from 'vitest';
import { cuts } from '../../shared/food/cuts.ts';
import { calendarEntries } from '../../shared/plan/calendar.ts';
import { PlanFault } from '../../shared/plan/fault.ts';
import { findCut } from '../../shared/plan/find-cut.ts';
import { planBackwards, planJob } from '../../shared/plan/plan.ts';
import { readRequest } from '../../shared/plan/request.ts';
import { USUAL_RIG } from '../../shared/plan/rig.ts';
import { clockText, inNight } from '../../shared/plan/zone.ts';
import { at, DINNER_MS, H_MS, lambJob, NOW_MS, stepOf, ZONE } from './plan-jobs.ts';

const plan = planBackwards(lambJob());

describe('a job planned backwards', () => {
  it('goes from the plate to the salt, each step before the one it serves', () => {
    const order = [
      'cure',
      'bath-on',
      'bag',
      'food-in',
      'look',
      'come-up',
      'safe',
      'fork-test',
      'out',
      'rest',
      'brown',
      'plate',
    ] as const;
    const times = order.map((kind) => stepOf(plan, kind).atMs);
    for (let i = 1; i < times.length; i++) expect(times[i]!).toBeGreaterThanOrEqual(times[i - 1]!);
    const plate = stepOf(plan, 'plate');
    expect(plate.atMs + 60_000 * Number(plate.amounts.takesMin)).toBe(DINNER_MS);
    expect(plan.steps.map((step) => step.atMs)).toEqual(
      [...plan.steps.map((step) => step.atMs)].sort((a, b) => a - b),
    );
  });

  it('says with every step how, why and by what source, and every physical step with its 99 % band', () => {
    for (const step of plan.steps) {
      expect(step.how.length, step.id).toBeGreaterThan(5);
      expect(step.why.length, step.id).toBeGreaterThan(5);
      expect(step.source.length, step.id).toBeGreaterThan(3);
      if (step.who !== 'physics') continue;
      const [low, high] = step.bandMs!;
      expect(low).toBeLessThan(high);
      expect(step.atMs).toBeGreaterThanOrEqual(low);
      expect(step.atMs).toBeLessThanOrEqual(high);
    }
    expect(new Set(plan.steps.map((step) => step.id)).size).toBe(plan.steps.length);
  });

  it('has the bath surely hot before any food goes in', () => {
    const [, high] = stepOf(plan, 'bath-hot').bandMs!;
    expect(high).toBeLessThanOrEqual(stepOf(plan, 'food-in').atMs);
  });

  it('gives readiness as 10-50-90 with its span as a ratio, and meets the odds asked for', () => {
    const { ready, oddsFraction, foodInMs } = plan.dishes[0]!;
    expect(ready.p10Ms!).toBeLessThan(ready.p50Ms!);
    expect(ready.p50Ms!).toBeLessThan(ready.p90Ms!);
    expect(ready.spanRatio).toBeCloseTo((ready.p90Ms! - ready.p10Ms!) / (ready.p50Ms! - foodInMs), 6);
    expect(plan.status).toBe('odds-met');
    expect(oddsFraction).toBeGreaterThanOrEqual(0.79);
  });

  it('asks for an earlier start the surer it has to be, the thicker the piece, and the cooler the bath', () => {
    const night = null;
    const inAt = (changes: Parameters<typeof lambJob>[0]) =>
      planBackwards(lambJob({ serveBy: '2026-07-05 19:30', night, ...changes })).dishes[0]!.foodInMs;
    const usual = inAt({});
    expect(inAt({ oddsFraction: 0.9 })).toBeLessThan(usual);
    expect(inAt({ oddsFraction: 0.6 })).toBeGreaterThan(usual);
    expect(inAt({ dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 90 }] })).toBeLessThan(usual);
    expect(inAt({ bathC: 70 })).toBeLessThan(usual);
    expect(inAt({ bathC: 78 })).toBeGreaterThan(usual);
  });

  it('keeps food and heat out of the night, and says what it would have been', () => {
    const moved = stepOf(plan, 'food-in');
    expect(inNight(moved.atMs, plan.job.night, ZONE)).toBe(false);
    expect(moved.why).toMatch(/At 0\d:\d\d it would be early enough/);
    const dark = planBackwards(lambJob({ night: null }));
    expect(dark.dishes[0]!.foodInMs).toBeGreaterThan(moved.atMs);
    expect(clockText(dark.dishes[0]!.foodInMs, ZONE)).toMatch(/^0[0-5]:/);
    // Nobody named a temperature: it goes gentler instead, and uses the time it has.
    const { bathC, ...free } = lambJob();
    const gentle = planBackwards(free);
    expect(bathC).toBe(74);
    expect(gentle.bathC).toBeLessThan(74);
    expect(gentle.bathWhy).toMatch(/before the night/);
    expect(gentle.status).toBe('odds-met');
  });

  it('reminds at low priority of what a person does, and in the night of nothing that can wait', () => {
    for (const one of plan.reminders) {
      expect(one.priority).toBe('low');
      expect(stepOf(plan, plan.steps.find((step) => step.id === one.stepId)!.kind).who).toBe('person');
      if (inNight(one.atMs, plan.job.night, ZONE)) expect(one.nightNeeded).toBe(true);
    }
    const short = planBackwards(lambJob({ nowMs: at('2026-07-02T22:30:00+02:00') }));
    const needed = short.reminders.filter((one) => one.nightNeeded).map((one) => one.stepId);
    expect(needed).toContain('food-in-lamb-shoulder-1');
    expect(short.reminders.some((one) => one.stepId.startsWith('fork-test') && one.nightNeeded)).toBe(false);
  });

  it('names every value that nobody gave', () => {
    const fields = plan.defaults.map((one) => one.field).join('; ');
    for (const named of [
      'rig',
      'endpoint',
      'going in at',
      'cure',
      'odds wanted',
      'night',
      'fridge',
      'rules',
    ]) {
      expect(fields).toContain(named);
    }
    expect(fields).not.toContain('thickness');
  });

  it('is made from the very least, "lamb shoulder, 2 kg, eight people, 19:30", for the first evening that can be', () => {
    const { dishes, serveBy, peopleCount } = readRequest('lamb shoulder, 2 kg, eight people, 19:30');
    expect(peopleCount).toBe(8);
    const least = planBackwards({
      nowMs: NOW_MS,
      zone: ZONE,
      dishes,
      serveBy: serveBy!,
      peopleCount: peopleCount!,
    });
    expect(least.status).toBe('odds-met');
    expect(least.serveByMs).toBe(DINNER_MS);
    expect(least.defaults.find((one) => one.field === 'serve by')!.why).toMatch(
      /Thu 2 Jul, 19:30 is too soon/,
    );
    expect(least.job.dishes[0]!.cutId).toBe('lamb-shoulder');
    expect(least.steps.length).toBeGreaterThan(12);
  });

  it('survives JSON and gives the same plan from the same job, bit for bit', () => {
    const again = planJob(JSON.parse(JSON.stringify(plan.job)), plan.defaults);
    expect(JSON.stringify(again)).toBe(JSON.stringify(plan));
  });

  it('can be put in a calendar: one entry for everything a person does, with stable ids', () => {
    const entries = calendarEntries(plan, 'supper', 3);
    expect(new Set(entries.map((e) => e.uid)).size).toBe(entries.length);
    for (const e of entries) expect(e.endMs).toBeGreaterThan(e.startMs);
    const ready = entries.find((e) => e.title.includes('likely ready'))!;
    expect(ready.startMs).toBe(plan.dishes[0]!.ready.p10Ms);
    expect(ready.endMs).toBe(plan.dishes[0]!.ready.p90Ms);
    const food = entries.find((e) => e.title.startsWith('Food in'))!;
    expect(food.alarmLeadS).toBe(600);
    expect(food.uid).toBe(`supper.${plan.steps.find((s) => s.kind === 'food-in')!.id}@bathkeeper`);
    expect(food.sequence).toBe(2);
  });
});

describe('what cannot be planned', () => {
  it('is told all at once, each with what was expected', () => {
    const bad = () =>
      planBackwards(
        lambJob({
          serveBy: '2026-07-01 19:30',
          oddsFraction: 1.4,
          dishes: [
            { cut: 'lamb shoulder', massKg: -1 },
            { cut: 'unicorn', massKg: 1 },
          ],
        }),
      );
    expect(bad).toThrow(PlanFault);
    expect(bad).toThrow(/has passed/);
    expect(bad).toThrow(/odds wanted is 1\.4; expected 0\.5 to 0\.99/);
    expect(bad).toThrow(/weight is -1/);
    expect(bad).toThrow(/cut "unicorn" is not known/);
  });

  it.each([
    [
      'a piece thicker than it can be',
      { dishes: [{ cut: 'lamb shoulder', massKg: 0.3, thicknessMm: 120 }] },
      /a ball of it is 8\d mm/,
    ],
    [
      'neither weight nor people',
      { peopleCount: undefined, dishes: [{ cut: 'lamb shoulder' }] },
      /neither weight nor people/,
    ],
    ['a bath hotter than the bag stands', { bathC: 85 }, /zipper bag.* stands 80 C/],
    [
      'more bags than a bath is planned for',
      { dishes: [{ cut: 'duck leg', massKg: 3, piecesCount: 9 }] },
      /more than the 8/,
    ],
    [
      'vegetables, which no model says to be soft',
      { dishes: [{ cut: 'carrot', massKg: 1 }] },
      /texture alone/,
    ],
    ['eggs in the shell', { dishes: [{ cut: 'egg in shell', massKg: 1 }] }, /Eggs in the shell/],
    ['frozen food', { dishes: [{ cut: 'lamb shoulder', massKg: 2, startC: -10 }] }, /going in at is -10/],
    ['a zone that is none', { zone: 'Mars/Olympus' }, /IANA/],
    ['no dish', { dishes: [] }, /at least one cut/],
    ['a rig that is none', { rig: { ...USUAL_RIG, elementW: 0 } }, /element is 0; expected 50/],
    ['an unknown film', { rig: { ...USUAL_RIG, filmId: 'paper' } }, /material "paper" is not known/],
  ] as const)('%s', (_what, changes, words) => {
    expect(() => planBackwards(lambJob(changes as Parameters<typeof lambJob>[0]))).toThrow(words);
  });

  it('knows every cut by its id and by its own name, or says why not', () => {
    for (const cut of cuts) {
      if (cut.family === 'vegetable') expect(() => findCut(cut.id)).toThrow(PlanFault);
      else expect(findCut(cut.id).id).toBe(cut.id);
    }
    expect(findCut('Lamb shoulder').id).toBe('lamb-shoulder');
    expect(findCut('pork cheeks').id).toBe('pork-cheek');
    expect(() => findCut('lamb')).toThrow(/near it are lamb/);
  });

  it('reads a line part by part and names what it did not understand', () => {
    const two = readRequest('pork neck, 1.5kg, 80 mm thick, 2 pieces; duck leg, 1 kg; for six; at 20:15');
    expect(two).toEqual({
      dishes: [
        { cut: 'pork neck', massKg: 1.5, thicknessMm: 80, piecesCount: 2 },
        { cut: 'duck leg', massKg: 1 },
      ],
      serveBy: '20:15',
      peopleCount: 6,
    });
    expect(() => readRequest('lamb shoulder, a lot!, 19:30')).toThrow(/"a lot!" was not understood/);
    expect(() => readRequest('2 kg, lamb shoulder')).toThrow(/come after their cut/);
    expect(() => readRequest('19:30')).toThrow(/no cut was named/);
  });

  it('plans every cut that can be planned, at its usual temperature, without a fault', () => {
    for (const cut of cuts) {
      if (cut.family === 'vegetable') continue;
      const one = planBackwards({
        nowMs: NOW_MS,
        zone: ZONE,
        serveBy: NOW_MS + 90 * H_MS,
        dishes: [{ cut: cut.id, massKg: 1 }],
      });
      expect(one.status, `${cut.id}: ${one.words}`).toBe('odds-met');
      expect(one.dishes[0]!.safe!.bandMs[1], cut.id).toBeLessThanOrEqual(one.dishes[0]!.outMs);
      expect(one.dishes[0]!.comeUpWorstS, cut.id).toBeLessThan(6 * 3600);
    }
  });
});

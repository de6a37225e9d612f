import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { JobAsked } from '../../shared/plan/complete.ts';
import type { Measured } from '../../shared/plan/measured.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { reforecast } from '../../shared/plan/reforecast.ts';
import { USUAL_RIG } from '../../shared/plan/rig.ts';
import type { Plan } from '../../shared/plan/types.ts';
import { EIGHT_CUTS } from '../physics/plan-eight.ts';
import { openBrowser } from './chromium.ts';
import { planBundle } from './plan-bundle.ts';

const NOW_MS = Date.UTC(2026, 6, 2, 13, 0);
const job = (changes: Partial<JobAsked>): JobAsked => ({
  nowMs: NOW_MS,
  serveBy: '2026-07-03 19:30',
  zone: 'Europe/Zurich',
  dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 70 }],
  ...changes,
});

const JOBS: readonly (readonly [string, JobAsked])[] = [
  ['one shoulder', job({ peopleCount: 8 })],
  ['one shoulder at a bath that was asked for', job({ bathC: 74 })],
  ['a tender cut', job({ dishes: [{ cut: 'pork loin', massKg: 1.2, thicknessMm: 45 }] })],
  ['fish', job({ dishes: [{ cut: 'salmon fillet', massKg: 0.8 }] })],
  [
    'two that cannot share',
    job({
      dishes: [
        { cut: 'pork neck', massKg: 1.4 },
        { cut: 'pork loin', massKg: 1 },
      ],
    }),
  ],
  ['cooked before, chilled and made hot again', job({ serveFrom: 'fridge', serveBy: '2026-07-04 19:30' })],
  ['too late for it', job({ serveBy: '2026-07-02 18:30' })],
  ['a weak rig', job({ rig: { ...USUAL_RIG, elementW: 300, lidOn: false } })],
  [
    'eight different bags',
    job({
      serveBy: NOW_MS + 76 * 3.6e6,
      dishes: EIGHT_CUTS.map((cut, i) => ({ cut, massKg: 0.7 + 0.05 * i })),
    }),
  ],
];

let browser: Awaited<ReturnType<typeof openBrowser>>;
let page: Awaited<ReturnType<typeof browser.newPage>>;
beforeAll(async () => {
  browser = await openBrowser();
  page = await browser.newPage();
  await page.addScriptTag({ content: await planBundle(), type: 'module' });
  await page.waitForFunction('globalThis.planning !== undefined');
});
afterAll(() => browser.close());

const called = (name: 'planBackwards' | 'reforecast', given: readonly unknown[]): Promise<string> =>
  page.evaluate(
    ([of, json]) => {
      const { planning } = globalThis as unknown as {
        planning: Record<string, (...args: unknown[]) => unknown>;
      };
      try {
        return JSON.stringify(planning[of as string]!(...JSON.parse(json as string)));
      } catch (error) {
        return `refused: ${(error as Error).message}`;
      }
    },
    [name, JSON.stringify(given)],
  );

/** Ten hours in the bath with a sag, a "nearly", and dinner an hour later. */
function measuredOf(plan: Plan): Measured {
  const fromMs = plan.steps.find((step) => step.kind === 'bath-on')!.atMs;
  const [dish] = plan.dishes;
  const nowMs = dish!.foodInMs + 10 * 3.6e6;
  const hotMs = plan.steps.find((step) => step.kind === 'bath-hot')!.atMs;
  const water = [];
  for (let ms = fromMs; ms <= nowMs; ms += 60_000) {
    const sag = Math.max(0, 5 - Math.abs(ms - (dish!.foodInMs + 4 * 3.6e6)) / 600_000);
    water.push({
      atMs: ms,
      celsius: Math.min(plan.bathC, 12 + (62 * (ms - fromMs)) / (hotMs - fromMs)) - sag,
    });
  }
  const tests = [{ atMs: nowMs - 600_000, answer: 'nearly' as const }];
  const bags = [{ bagId: dish!.bagIds[0]!, inAtMs: dish!.foodInMs, tests }];
  return { nowMs, water, bags, serveByMs: plan.serveByMs + 3.6e6 };
}

/** Wall times are of this size, ms. */
const WALL = 1e11;

/**
 * Every place where two answers differ: words and structure in anything, wall times by more than 2 ms, other numbers
 * by more than 1e-7 of themselves.
 */
function differences(a: unknown, b: unknown, at = ''): string[] {
  if (typeof a === 'number' && typeof b === 'number') {
    const most = Math.abs(a) > WALL ? 2 : 1e-7 * Math.abs(a) + 1e-9;
    return Math.abs(a - b) <= most ? [] : [`${at}: ${a} here, ${b} in the browser`];
  }
  if (a === null || b === null || typeof a !== 'object' || typeof b !== 'object') {
    return a === b ? [] : [`${at}: ${String(a)} here, ${String(b)} in the browser`];
  }
  const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...keys].flatMap((key) =>
    differences((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key], `${at}.${key}`),
  );
}

/** How many numbers of two answers are the same to the last digit, of how many. */
function sameDigits(a: unknown, b: unknown): { same: number; of: number } {
  if (typeof a === 'number') return { same: Object.is(a, b) ? 1 : 0, of: 1 };
  if (a === null || typeof a !== 'object') return { same: 0, of: 0 };
  return Object.entries(a).reduce(
    (sum, [key, value]) => {
      const { same, of } = sameDigits(value, (b as Record<string, unknown> | null)?.[key]);
      return { same: sum.same + same, of: sum.of + of };
    },
    { same: 0, of: 0 },
  );
}

/**
 * ECMA-262 leaves the last digits of Math.exp, Math.log and Math.pow to the engine ("implementation-approximated"),
 * and the V8 of Node 20 and that of the browser do differ there by one in the last place. So words, steps, their order
 * and their times must be the same, and figures the same to seven digits; nearly all of them are so to the last.
 */
describe('the planning code', () => {
  it.each(JOBS)('gives the same plan of %s in the browser as in Node', async (_, asked) => {
    const here = JSON.parse(JSON.stringify(planBackwards(asked)));
    const there = JSON.parse(await called('planBackwards', [asked]));
    expect(differences(here, there)).toEqual([]);
    const { same, of } = sameDigits(here, there);
    expect(same / of).toBeGreaterThan(0.5);
    expect(here.status).toMatch(/^(odds-met|odds-short|not-safe|rig-cannot)$/);
  });

  it('gives the same forecast of a running cook in the browser as in Node', async () => {
    const plan = planBackwards(JOBS[1]![1]);
    const measured = measuredOf(plan);
    const here = JSON.parse(JSON.stringify(reforecast(plan, measured)));
    expect(here.options.length).toBeGreaterThan(1);
    expect(differences(here, JSON.parse(await called('reforecast', [plan, measured])))).toEqual([]);
  });

  it('refuses the same with the same words', async () => {
    const past = job({ serveBy: '2026-07-01 19:30' });
    const words = await called('planBackwards', [past]);
    expect(words).toMatch(/^refused: .*has passed/);
    expect(() => planBackwards(past)).toThrow(words.replace('refused: ', ''));
  });

  it('is held to this by a comparison that sees a word, a step and a second that differ', () => {
    const plan = planBackwards(JOBS[0]![1]);
    const other = JSON.parse(JSON.stringify(plan));
    other.steps[0].title += ' ';
    other.steps[1].atMs += 1000;
    other.steps.pop();
    expect(differences(plan, other).length).toBeGreaterThanOrEqual(3);
  });
});

import type { JobAsked } from '../../shared/plan/complete.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { reforecast } from '../../shared/plan/reforecast.ts';
import type { Plan } from '../../shared/plan/types.ts';
import { openBrowser } from '../browser/chromium.ts';
import { planBundle } from '../browser/plan-bundle.ts';
import { EIGHT_CUTS } from '../physics/plan-eight.ts';

const NOW_MS = Date.UTC(2026, 6, 2, 13, 0);

/** Eight different bags, one a dish: nothing can be computed once for two. */
const asked = (bathC?: number): JobAsked => ({
  nowMs: NOW_MS,
  serveBy: NOW_MS + 76 * 3.6e6,
  zone: 'Europe/Zurich',
  dishes: EIGHT_CUTS.map((cut, i) => ({ cut, massKg: 0.7 + 0.05 * i })),
  ...(bathC === undefined ? {} : { bathC }),
});
const eight = (bathC?: number) => planBackwards(asked(bathC));

/** Processor time of this process, ms: what a run costs, however busy the machine is with others. */
const processorMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

/** Middle of some runs, ms; the first ones warm up. */
function middleMs(runs: number, work: () => unknown, clock = () => performance.now()): number {
  const times: number[] = [];
  for (let i = 0; i < runs; i++) {
    const before = clock();
    work();
    times.push(clock() - before);
  }
  return times.slice(2).sort((a, b) => a - b)[Math.floor((runs - 2) / 2)]!;
}

function runningWater(plan: Plan, hours: number) {
  const from = plan.dishes[0]!.foodInMs;
  return Array.from({ length: hours * 120 }, (_, i) => ({
    atMs: from + i * 30_000,
    celsius: 74 + 0.05 * Math.sin(i),
  }));
}

/**
 * Planning against the named baseline: a JSON round trip of the finished plan, which is what sharing it with a phone
 * would cost. Target: under 50 ms for eight bags, in Node and in the browser.
 */
export async function benchPlan(): Promise<string[]> {
  const first = performance.now();
  const plan = eight(74);
  const cold = performance.now() - first;
  const fixed = middleMs(15, () => eight(74));
  const free = middleMs(15, () => eight());
  const [fixedOwn, freeOwn] = [74, undefined].map((bathC) => middleMs(15, () => eight(bathC), processorMs));
  const base = middleMs(15, () => JSON.parse(JSON.stringify(plan)));
  const nowMs = plan.dishes[0]!.foodInMs + 10 * 3.6e6;
  const measured = {
    nowMs,
    water: runningWater(plan, 10),
    bags: plan.dishes.flatMap(({ bagIds, foodInMs }) =>
      bagIds.map((bagId) => ({ bagId, inAtMs: foodInMs <= nowMs ? foodInMs : null })),
    ),
  };
  const again = middleMs(9, () => reforecast(plan, measured));
  return [
    `eight bags, temperature given: ${fixed.toFixed(1)} ms (target 50), of the processor ${fixedOwn!.toFixed(1)}; the very first ${cold.toFixed(0)} ms`,
    `eight bags, temperature chosen: ${free.toFixed(1)} ms (target 50), of the processor ${freeOwn!.toFixed(1)}`,
    `reforecast after ten hours of readings every 30 s, options included: ${again.toFixed(1)} ms`,
    ...(await inBrowser()),
    `baseline, JSON round trip of the plan: ${base.toFixed(2)} ms; ratio ${(fixed / base).toFixed(0)}`,
  ];
}

/** The same in the system's Chromium, from the bundle that the page's builder makes; a line that says so where there is none. */
async function inBrowser(): Promise<string[]> {
  const browser = await openBrowser().catch(() => null);
  if (!browser) return ['in the browser: not measured, there is no Chromium'];
  try {
    const page = await browser.newPage();
    await page.addScriptTag({ content: await planBundle(), type: 'module' });
    await page.waitForFunction('globalThis.planning !== undefined');
    const measure = (bathC?: number) =>
      page.evaluate(
        ({ json, runs }) => {
          const { planning } = globalThis as unknown as { planning: { planBackwards(of: unknown): unknown } };
          const times: number[] = [];
          for (let i = 0; i < runs; i++) {
            const job = JSON.parse(json);
            const before = performance.now();
            planning.planBackwards(job);
            times.push(performance.now() - before);
          }
          const first = times[0]!;
          return { first, middle: times.slice(2).sort((a, b) => a - b)[Math.floor((runs - 2) / 2)]! };
        },
        { json: JSON.stringify(asked(bathC)), runs: 15 },
      );
    const fixed = await measure(74);
    const free = await measure();
    return [
      `in Chromium, eight bags, temperature given: ${fixed.middle.toFixed(1)} ms (target 50); the very first ${fixed.first.toFixed(0)} ms`,
      `in Chromium, eight bags, temperature chosen: ${free.middle.toFixed(1)} ms (target 50)`,
    ];
  } finally {
    await browser.close();
  }
}

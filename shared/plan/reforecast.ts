/** The plan kept true while the cook runs: from the water that was measured, from fork tests, from a moved dinner. */
import { additionsOf } from './additions.ts';
import { type Ahead, type BathAhead, bagsAhead, lateOutcomes } from './ahead.ts';
import type { Schedule } from './batches.ts';
import { type Change, changesOf } from './changes.ts';
import { coursesOf } from './courses.ts';
import type { Frame } from './frame.ts';
import { type Kitchen, kitchenFor } from './kitchen.ts';
import { checkMeasured, type Measured } from './measured.ts';
import { movedOptions, type Option } from './moved.ts';
import type { Joint } from './outcome.ts';
import { writePlan } from './plan.ts';
import { remindersOf } from './reminders.ts';
import { rigHeatUp } from './rig.ts';
import { inOrder } from './step.ts';
import type { Dish, Job, Plan, PlanStatus, Step } from './types.ts';
import { firstHotMs, paceOf, thinRows, type WaterRow } from './water-log.ts';
import { dayText } from './zone.ts';

/** How the heating still to come may differ once its pace has been seen (judgement). */
const PACE_BAND = { low: 0.85, high: 1.25 } as const;

/** A running plan forecast anew. */
export interface Outlook {
  readonly plan: Plan;
  /** What differs from what was planned, and what it does. */
  readonly changes: readonly Change[];
  /** What can be done now, where dinner moved or the odds changed. */
  readonly options: readonly Option[];
}

/**
 * Forecasts a running plan anew. A bag that was taken out stays as it was when it left.
 * @throws PlanFault where what was measured cannot belong to the plan
 */
export function reforecast(plan: Plan, measured: Measured): Outlook {
  checkMeasured(plan, measured);
  const serveByMs = measured.serveByMs ?? plan.serveByMs;
  const job: Job = { ...plan.job, nowMs: measured.nowMs, serveByMs };
  const kitchen = kitchenFor(job);
  const setpointC = measured.setpointC ?? plan.bathC;
  const rows = thinRows(measured.water);
  const bath = bathAhead(kitchen, plan, measured, rows, setpointC);
  const zeroMs = Math.min(...plan.dishes.map((dish) => dish.foodInMs));
  const { bags, run } = bagsAhead({ kitchen, plan, measured, rows, bath, zeroMs, setpointC });
  const joint: Joint = { run, zeroMs, outcomes: lateOutcomes(plan, bags, zeroMs) };
  const schedule = scheduleOf(measured, bath, bags);
  const additions = additionsOf(kitchen, schedule, joint, setpointC).filter(
    (one) => one.atMs >= measured.nowMs,
  );
  const { courses, room } = coursesOf(kitchen, schedule, joint, setpointC, additions);
  const frame: Frame = { kitchen, job, bathC: setpointC, schedule, joint, courses, room };
  const { bathWhy, conflicts, defaults } = plan;
  const written = writePlan(
    frame,
    { bathWhy, additions, conflicts, defaults },
    (status, odds, unsafe) => runningWords(job, bags, bath, status, odds, unsafe),
    () => [],
  );
  const steps = written.steps.map((step) =>
    markDone(began(plan, step, measured.nowMs), measured, bags, bath.hotMs),
  );
  const reminders = remindersOf(
    job,
    steps.filter((step) => !step.done),
    measured.nowMs,
  );
  const anew: Plan = { ...written, madeAtMs: plan.madeAtMs, steps: inOrder(steps), reminders };
  return {
    plan: anew,
    changes: changesOf(kitchen, plan, anew, measured, rows, setpointC),
    options: movedOptions(kitchen, anew, bags, bath.waterC, zeroMs),
  };
}

/** What was begun before now stays when it was; only what is to come moves. */
function began(plan: Plan, step: Step, nowMs: number): Step {
  const kinds = new Set(['cure', 'rinse', 'bag']);
  const old = plan.steps.find((one) => one.id === step.id);
  return old && kinds.has(step.kind) && old.atMs <= nowMs ? old : step;
}

function runningWords(
  job: Job,
  bags: readonly Ahead[],
  bath: BathAhead,
  status: PlanStatus,
  oddsFraction: number,
  unsafe: readonly string[],
): string {
  const at = (ms: number) => dayText(ms, job.zone);
  const odds = `${Math.round(100 * oddsFraction)} in 100 are ready in time for ${at(job.serveByMs)}`;
  const anyIn = bags.some((bag) => bag.soFar !== null);
  const now = anyIn ? 'The food is in' : `The bath is hot at ${at(bath.hotMs)}`;
  if (status === 'not-safe') return `${now}. Not like this: ${unsafe.join(' ')}`;
  return `${now}: ${odds}.${status === 'odds-short' ? ' See what can be done.' : ''}`;
}

function bathAhead(
  kitchen: Kitchen,
  plan: Plan,
  measured: Measured,
  rows: readonly WaterRow[],
  setpointC: number,
): BathAhead {
  const { job, balance } = kitchen;
  const planned = plan.steps.find((step) => step.kind === 'bath-on')?.atMs ?? measured.nowMs;
  const onMs = measured.bathOnMs ?? (rows.length > 0 ? rows[0]!.atMs : Math.max(planned, measured.nowMs));
  const last = rows.at(-1);
  const waterC = last?.celsius ?? job.rig.fillC;
  const hot = firstHotMs(rows, setpointC);
  if (hot !== null) return { hotMs: hot, band: [hot, hot], onMs, waterC };
  const begun = rows.length > 0;
  const pace = begun ? paceOf(rows, balance, job.rig.lidOn) : 1;
  const left = rigHeatUp(job.rig, balance, waterC, setpointC);
  const fromMs = Math.max(onMs, measured.nowMs);
  if (!left) return { hotMs: fromMs + 86_400_000, band: [fromMs, fromMs + 2 * 86_400_000], onMs, waterC };
  const seen = pace !== 1;
  const lowS = seen ? left.middleS * pace * PACE_BAND.low : left.lowS;
  const highS = seen ? left.middleS * pace * PACE_BAND.high : (left.highS ?? 2 * left.middleS);
  return {
    hotMs: fromMs + 1000 * left.middleS * pace,
    band: [fromMs + 1000 * lowS, fromMs + 1000 * highS],
    onMs,
    waterC,
  };
}

function scheduleOf(measured: Measured, bath: BathAhead, bags: readonly Ahead[]): Schedule {
  const times = new Map<Dish, number>();
  for (const { dish, inMs } of bags) times.set(dish, Math.min(times.get(dish) ?? inMs, inMs));
  const moments = [...new Set(times.values())].sort((a, b) => a - b);
  const batches = moments.map((inMs) => ({
    inMs,
    dishes: [...times.keys()].filter((dish) => times.get(dish) === inMs),
  }));
  const s = (ms: number) => Math.max(0, (ms - bath.onMs) / 1000);
  return {
    batches,
    bathOnMs: bath.onMs,
    heatUp: { lowS: s(bath.band[0]), middleS: s(bath.hotMs), highS: s(bath.band[1]) },
    movedFromMs: null,
    short: false,
    earliestMs: measured.nowMs,
  };
}

const BEFORE: ReadonlySet<string> = new Set([
  'cure',
  'rinse',
  'bag',
  'food-in',
  'bath-on',
  'bath-hot',
  'latest-start',
]);
const IN_BATH: ReadonlySet<string> = new Set([
  ...BEFORE,
  'look',
  'come-up',
  'safe',
  'fork-test',
  'ready',
  'out',
]);
/** Nobody says that they have looked, or topped up; so long afterwards it is no longer the next thing to do, ms. */
const STALE_MS = 2 * 3.6e6;

function markDone(step: Step, measured: Measured, bags: readonly Ahead[], hotMs: number): Step {
  const own = bags.filter((bag) => step.dishIds.includes(bag.dish.dishId));
  const allIn = own.length > 0 && own.every((bag) => bag.soFar !== null);
  const allOut = own.length > 0 && own.every((bag) => bag.outMs !== null);
  const said = measured.bags
    .filter((bag) => own.some((one) => one.bagId === bag.bagId))
    .flatMap((bag) => (bag.tests ?? []).map((test) => test.answer));
  // Bath on again, to make it hot once more, is another day's step of the same kind.
  const toCome = step.kind === 'bath-on' && step.atMs > measured.nowMs;
  const done =
    (BEFORE.has(step.kind) && allIn && !toCome) ||
    (IN_BATH.has(step.kind) && allOut && !toCome) ||
    (step.kind === 'bath-on' && measured.water.length > 0 && !toCome) ||
    (step.kind === 'bath-hot' && hotMs <= measured.nowMs) ||
    (step.kind === 'fork-test' && said.includes('ready')) ||
    ((step.kind === 'look' || step.kind === 'top-up') && step.atMs + STALE_MS < measured.nowMs) ||
    (step.who === 'physics' && step.bandMs !== null && step.bandMs[1] <= measured.nowMs);
  const again = step.kind === 'fork-test' && said.length > 0;
  const title = again ? step.title.replace('First', 'Next') : step.title;
  return { ...step, title, done };
}

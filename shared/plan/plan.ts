/** The whole job planned backwards, from the table to the first handful of salt. */
import { BAG_DECISIONS } from '../bag/steps.ts';
import { FRIDGE_LIMITS } from '../cure/fridge.ts';
import { additionsOf } from './additions.ts';
import { ceilGrain, type Schedule, scheduleAt } from './batches.ts';
import { completeJob, type JobAsked } from './complete.ts';
import { thickestAt } from './complete-dish.ts';
import { coursesOf, unsafeWords, wayOf } from './courses.ts';
import { type Course, type Frame, ODDS_SLACK } from './frame.ts';
import { type Kitchen, kitchenFor } from './kitchen.ts';
import { chillOffers, nightOffers, rigOffers, safetyOffers, shortOffers } from './offers.ts';
import { type Joint, runSchedule } from './outcome.ts';
import { remindersOf } from './reminders.ts';
import { rigAnswer } from './rig.ts';
import { withRoomFor } from './room.ts';
import { inOrder, round } from './step.ts';
import { stepsAfter } from './steps-after.ts';
import { stepsBefore } from './steps-before.ts';
import { stepsCook } from './steps-cook.ts';
import { type Chosen, chooseTemperature, type Sharing, shareBath } from './temperature.ts';
import type { Default, Dish, Job, Offer, Plan, PlanStatus } from './types.ts';
import { dayText, instantOf, wallTime } from './zone.ts';

/** Said with every plan. */
export const PLAN_CAUTIONS: readonly string[] = [
  'A plan is arithmetic about meat nobody has measured: the fork and the thermometer decide.',
  'Your local food code goes before anything here; the person in charge decides about food.',
  'Very young, old, pregnant or ill guests: only food that has met its standard, nothing "sliceable instead".',
];

/** Nights that a serve-by without a date may be moved on. */
const MOST_DAYS = 3;
const DAY_MS = 86_400_000;
/** A serve-by without a date stays on the first day while the odds are at least this share of those asked for. */
const WORTH_TODAY = 0.5;

/**
 * Plans a job backwards from its serve-by time. A time without a date means its next one, or the first later day on
 * which the job can be done, and says so.
 * @throws PlanFault listing everything that was wrong with what was asked, a serve-by in the past included
 */
export function planBackwards(asked: JobAsked): Plan {
  const { job, defaults } = completeJob(asked);
  const plan = planJob(job, defaults);
  const dated = typeof asked.serveBy === 'number' || !/^\s*\d{1,2}:\d{2}\s*$/.test(asked.serveBy);
  if (dated || worthDoing(plan)) return plan;
  for (let day = 1; day <= MOST_DAYS; day++) {
    const wall = wallTime(job.serveByMs, job.zone);
    const date = wallTime(job.serveByMs + day * DAY_MS, job.zone);
    const serveByMs = instantOf({ ...date, hour: wall.hour, minute: wall.minute }, job.zone).ms;
    const later = planJob({ ...job, serveByMs }, [...defaults, dayNamed(plan, serveByMs)]);
    if (worthDoing(later)) return later;
  }
  return plan;
}

const worthDoing = (plan: Plan) =>
  plan.status === 'odds-met' ||
  plan.status === 'rig-cannot' ||
  (plan.status === 'odds-short' && plan.oddsFraction >= WORTH_TODAY * plan.oddsWantedFraction);

function dayNamed(first: Plan, serveByMs: number): Default {
  return {
    field: 'serve by',
    value: dayText(serveByMs, first.zone),
    why: `No date was given, and ${dayText(first.serveByMs, first.zone)} is too soon: ${first.words}`,
    source: '',
  };
}

/** Plans a job that is complete. `withOffers`: with what else can be done. */
export function planJob(asked: Job, defaults: readonly Default[] = [], withOffers = true): Plan {
  const first = kitchenFor(asked);
  const shared = shareBath(first);
  const foods = shared.dishes.map((dish) => first.food(dish, shared.wantedC));
  const job = withRoomFor(asked, foods, shared.wantedC);
  const kitchen = job === asked ? first : kitchenFor(job);
  const sharing = job === asked ? shared : shareBath(kitchen);
  const outMs = (dish: Dish) => wayOf(kitchen, dish, sharing.wantedC).outMs;
  const chosen = chooseTemperature(kitchen, sharing, keepEach(outMs));
  if (!chosen) return cannotPlan(kitchen, sharing, defaults);
  const settled = settle(kitchen, sharing, chosen, keepEach(outMs));
  const additions = additionsOf(kitchen, settled.schedule, settled.joint, chosen.bathC);
  const { courses, room } = coursesOf(kitchen, settled.schedule, settled.joint, chosen.bathC, additions);
  const frame: Frame = { kitchen, job, bathC: chosen.bathC, ...settled, courses, room };
  const about = { bathWhy: chosen.why, additions, conflicts: sharing.conflicts, defaults };
  const plan = writePlan(
    frame,
    about,
    (status, odds, unsafe) => wordsOf(frame, status, odds, unsafe),
    (status, odds) => (withOffers ? offersOf(frame, sharing, status, odds) : []),
  );
  if (room.tooSmall !== null) return tooSmallPlan(plan, room.tooSmall);
  // Nobody shall follow, step by step, what is not safe.
  return plan.status === 'not-safe' ? { ...plan, steps: [], reminders: [] } : plan;
}

/** More food than the water can move round: no time and no odds hold, so none are given. */
function tooSmallPlan(plan: Plan, why: string): Plan {
  const { mostBagsCount } = plan.room;
  const most =
    mostBagsCount > 0
      ? `At most ${mostBagsCount} of the largest bag here`
      : 'Not one bag of this size goes in';
  const words = `This box is too small for it: ${why}. ${most}. Less food at a time, smaller bags, or a bigger box.`;
  const none = { oddsFraction: 0, steps: [], reminders: [] };
  if (plan.status === 'not-safe') return { ...plan, ...none, words: `${plan.words} ${words}` };
  return { ...plan, ...none, status: 'rig-cannot', words, offers: [] };
}

/** Whether the job is safe, and within the rig, with what an offer changes. */
function mends(job: Job, { change }: Offer): boolean {
  const { thicknessMm, bathC = job.bathC, serveByMs = job.serveByMs, serveFrom = job.serveFrom } = change;
  const rig = { ...job.rig, filmId: change.filmId ?? job.rig.filmId, fillC: change.fillC ?? job.rig.fillC };
  const dishes = thicknessMm === undefined ? job.dishes : thickestAt(job.dishes, thicknessMm);
  const { status } = planJob({ ...job, bathC, serveByMs, serveFrom, rig, dishes }, [], false);
  return status === 'odds-met' || status === 'odds-short';
}

/** A dish's way to the table does not change while one plan is made. */
function keepEach(of: (dish: Dish) => number): (dish: Dish) => number {
  const kept = new Map<Dish, number>();
  return (dish) => {
    const found = kept.get(dish) ?? of(dish);
    kept.set(dish, found);
    return found;
  };
}

/** Runs the schedule with all loads together, and moves it earlier by what each dish then lacks. */
function settle(
  kitchen: Kitchen,
  sharing: Sharing,
  chosen: Chosen,
  outMs: (dish: Dish) => number,
): { readonly schedule: Schedule; readonly joint: Joint } {
  const { bathC } = chosen;
  let { schedule } = chosen;
  let extraMs = 0;
  const moveBy = (lackMs: number): boolean => {
    if (lackMs <= 0 || schedule.short) return false;
    extraMs += ceilGrain(lackMs);
    const moved = scheduleAt(kitchen, sharing.dishes, bathC, outMs, extraMs);
    if (!moved) return false;
    schedule = moved;
    return true;
  };
  const middle = runSchedule(kitchen, schedule, bathC, false);
  moveBy(lackMs(middle, outMs, (one) => one.odds.whenS(kitchen.eachFraction)));
  let joint = runSchedule(kitchen, schedule, bathC, true);
  const safeS = (one: Joint['outcomes'][number]) =>
    one.safety.safeS === null ? null : one.inS + one.safety.safeS.highS;
  if (moveBy(lackMs(joint, outMs, safeS))) joint = runSchedule(kitchen, schedule, bathC, true);
  return { schedule, joint };
}

/** The longest by which a dish misses its time, ms; what never comes is not mended by starting earlier. */
function lackMs(
  joint: Joint,
  outMs: (dish: Dish) => number,
  whenS: (one: Joint['outcomes'][number]) => number | null,
): number {
  return Math.max(
    0,
    ...joint.outcomes.map((one) => {
      const at = whenS(one);
      return at === null ? 0 : joint.zeroMs + 1000 * at - outMs(one.dish);
    }),
  );
}

function statusOf(frame: Frame, unsafe: readonly string[], oddsFraction: number): PlanStatus {
  if (unsafe.length > 0) return 'not-safe';
  return oddsFraction >= frame.job.oddsFraction - ODDS_SLACK ? 'odds-met' : 'odds-short';
}

/** A settled frame as a plan: steps in order, status, odds, cautions. `offers` are made once the status is known. */
export function writePlan(
  frame: Frame,
  about: Pick<Plan, 'bathWhy' | 'additions' | 'conflicts' | 'defaults'>,
  wordsFor: (status: PlanStatus, oddsFraction: number, unsafe: readonly string[]) => string,
  offersFor: (status: PlanStatus, oddsFraction: number) => Offer[],
): Plan {
  const { job, kitchen, courses, bathC, schedule, room } = frame;
  const unsafe = courses.flatMap((course) => unsafeWords(kitchen, course, bathC));
  const oddsFraction = courses.reduce((product, { plan }) => product * plan.oddsFraction, 1);
  const status = statusOf(frame, unsafe, oddsFraction);
  const steps = inOrder([...stepsBefore(frame), ...stepsCook(frame), ...stepsAfter(frame)]);
  const endMs = Math.max(...courses.map(({ plan }) => plan.outMs));
  return {
    madeAtMs: job.nowMs,
    serveByMs: job.serveByMs,
    zone: job.zone,
    status,
    words: wordsFor(status, oddsFraction, unsafe),
    bathC,
    bathWhy: about.bathWhy,
    oddsWantedFraction: job.oddsFraction,
    oddsFraction,
    steps,
    dishes: courses.map(({ plan }) => plan),
    additions: about.additions,
    conflicts: about.conflicts,
    offers: offersFor(status, oddsFraction),
    reminders: remindersOf(job, steps, job.nowMs),
    decisions: BAG_DECISIONS,
    rig: rigAnswer(job.rig, bathC, Math.max(0, (endMs - schedule.batches[0]!.inMs) / 3.6e6)),
    room,
    defaults: about.defaults,
    cautions: [...warmStart(courses), ...PLAN_CAUTIONS, ...outOfRange(courses, bathC)],
    job,
  };
}

function offersOf(frame: Frame, sharing: Sharing, status: PlanStatus, oddsFraction: number): Offer[] {
  const { kitchen, bathC, schedule, courses } = frame;
  if (status === 'odds-met') return nightOffers(kitchen, schedule, sharing);
  // Where it is the chilling that is too slow, no bath and no other day mends it.
  const slow = courses.filter(({ cold }) => cold !== null && !cold.chill.ok);
  if (slow.length > 0) return chillOffers(slow);
  const oddsNow = status === 'not-safe' ? 0 : oddsFraction;
  const all = [
    ...safetyOffers(kitchen, sharing, bathC, status),
    ...shortOffers(kitchen, sharing, bathC, oddsNow),
  ];
  // What is offered instead of something unsafe has to be safe: each is planned to see.
  return status === 'not-safe' ? all.filter((offer) => mends(frame.job, offer)) : all;
}

/** Food that is no longer cold: what went before is not known to any model. */
function warmStart(courses: readonly Course[]): string[] {
  const { codeMaxC, codeSource } = FRIDGE_LIMITS;
  return courses
    .filter(({ dish }) => dish.startC > codeMaxC)
    .map(
      ({ dish }) =>
        `${dish.name} goes in at ${round(dish.startC)} C: over ${codeMaxC} C (${codeSource}) bacteria already grow, and how long it was so warm is not in this plan. Cold from the fridge is better; where nobody knows for how long, throw it away.`,
    );
}

function outOfRange(courses: readonly Course[], bathC: number): string[] {
  return courses
    .filter(({ dish }) => bathC < dish.bath.lowC - 0.5 || bathC > dish.bath.highC + 0.5)
    .map(
      ({ dish }) =>
        `${dish.name} at ${bathC} C: usual is ${dish.bath.lowC} to ${dish.bath.highC} C; it comes out different.`,
    );
}

function wordsOf(frame: Frame, status: PlanStatus, oddsFraction: number, unsafe: readonly string[]): string {
  const { job, schedule, bathC } = frame;
  const at = (ms: number) => dayText(ms, job.zone);
  const odds = `${Math.round(100 * oddsFraction)} in 100`;
  const late = schedule.short ? `It is too late for ${at(job.serveByMs)}. ` : '';
  if (status === 'not-safe') return `${late}Not like this: ${unsafe.join(' ')} See what else can be done.`;
  const inMs = schedule.batches[0]!.inMs;
  if (status === 'odds-short') {
    const asked = Math.round(100 * job.oddsFraction);
    return `Too late for the odds asked for (${asked} in 100): even with food in at ${at(inMs)}, the soonest there is, ${odds} are ready by ${at(job.serveByMs)}. See what else can be done.`;
  }
  return `Bath on at ${at(schedule.bathOnMs)} for ${bathC} C, food in at ${at(inMs)}: ${odds} are ready in time for ${at(job.serveByMs)}.`;
}

function cannotPlan(kitchen: Kitchen, sharing: Sharing, defaults: readonly Default[]): Plan {
  const { job } = kitchen;
  const bathC = job.bathC ?? sharing.wantedC;
  const rig = rigAnswer(job.rig, bathC, 0);
  const held = (job.rig.lidOn ? rig.lidOn : rig.lidOff).highestC;
  return {
    madeAtMs: job.nowMs,
    serveByMs: job.serveByMs,
    zone: job.zone,
    status: 'rig-cannot',
    words: `This rig does not surely reach ${bathC} C: with the lid ${job.rig.lidOn ? 'on' : 'off'} it comes to about ${held.toFixed(0)} C.`,
    bathC,
    bathWhy: job.bathC === null ? 'Usual for it.' : 'As asked for.',
    oddsWantedFraction: job.oddsFraction,
    oddsFraction: 0,
    steps: [],
    dishes: [],
    additions: [],
    conflicts: sharing.conflicts,
    offers: rigOffers(kitchen, sharing),
    reminders: [],
    decisions: BAG_DECISIONS,
    rig,
    room: {
      pourLitres: 0,
      levelMm: 0,
      lowestPredictedMm: 0,
      seamAboveMm: 0,
      mostBagsCount: 0,
      faults: [],
      tooSmall: null,
    },
    defaults,
    cautions: PLAN_CAUTIONS,
    job,
  };
}

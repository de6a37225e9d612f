/** Steps while the food is in: through the danger zone, safe, fork test, likely ready, latest start, top-ups. */
import { topUps } from '../bath/sizing.ts';
import { limitProfile } from '../hazard/profiles.ts';
import type { Course, Frame } from './frame.ts';
import { inText } from './names.ts';
import { round, stepOf } from './step.ts';
import type { Step } from './types.ts';
import { aroundNight, clockText, dayText } from './zone.ts';

/** A first test is worth opening the lid for when one piece in four would be ready. */
const FIRST_TEST_ODDS = 'one in four';

/** Steps of every course while it is in the bath, and the top-ups. */
export function stepsCook(frame: Frame): Step[] {
  return [...frame.courses.flatMap((course) => courseSteps(frame, course)), ...topUpSteps(frame)];
}

function courseSteps(frame: Frame, course: Course): Step[] {
  const { job } = frame;
  const { dish, plan } = course;
  const { comeUp, safe } = plan;
  const steps: Step[] = [];
  const about = { key: dish.dishId, dishIds: [dish.dishId] };
  if (comeUp) {
    steps.push(
      stepOf(job, {
        ...about,
        kind: 'come-up',
        who: 'physics',
        title: `${dish.name}: core through the danger zone`,
        atMs: comeUp.atMs,
        bandMs: comeUp.bandMs,
        amounts: {
          coreC: round(limitProfile(job.profileId).comeUp.highC),
          worstH: round(plan.comeUpWorstS / 3600, 1),
          limitH: plan.comeUpLimitS / 3600,
        },
        how: 'Nothing to do.',
        why: 'Until then bacteria can grow at the core; the time is limited.',
        source: limitProfile(job.profileId).comeUp.source,
      }),
    );
  }
  if (safe) {
    steps.push(
      stepOf(job, {
        ...about,
        kind: 'safe',
        who: 'physics',
        title: `${dish.name}: core safe by its standard`,
        atMs: safe.bandMs[1],
        bandMs: safe.bandMs,
        how: 'Nothing to do. Not to be eaten before.',
        why: 'Time at temperature in the slowest case of the meat, by the standard named.',
        source: plan.safeRule,
      }),
    );
  }
  return [...steps, ...tenderSteps(frame, course)];
}

function tenderSteps(frame: Frame, course: Course): Step[] {
  const { job } = frame;
  const { dish, plan } = course;
  const about = { key: dish.dishId, dishIds: [dish.dishId] };
  const { ready } = plan;
  const steps: Step[] = [];
  const tough = frame.kitchen.food(dish, frame.bathC).cut.tendernessClass !== null;
  const test = firstTestMs(frame, course);
  if (test !== null && test < plan.outMs && tough) {
    steps.push(
      stepOf(job, {
        ...about,
        kind: 'fork-test',
        title: `First fork test: ${inText(dish)}`,
        atMs: test,
        how: `Press it through the bag, or open the seam, push a fork in and turn it; close it again without air. Enter "not yet", "nearly" or "ready": the forecast learns. Then again about every hour and a half. Ready early: turn the bath down to hold it.`,
        why: `Before this it is not worth it: from here ${FIRST_TEST_ODDS} would be ready.`,
        source: 'softening by class of cut (shared/tender)',
        cautions: ['Hot bag, hot steam: tongs, a cloth, the face away.'],
      }),
    );
  }
  if (ready.p50Ms !== null) {
    const at = (ms: number | null) => (ms === null ? 'later than can be said' : dayText(ms, job.zone));
    steps.push(
      stepOf(job, {
        ...about,
        kind: 'ready',
        who: 'odds',
        title: `${dish.name} likely ready`,
        atMs: ready.p50Ms,
        amounts: {
          in10Of100: at(ready.p10Ms),
          in50Of100: at(ready.p50Ms),
          in90Of100: at(ready.p90Ms),
          ...(ready.spanRatio === null ? {} : { spanRatio: round(ready.spanRatio, 2) }),
        },
        how: 'A span, not a time: meat differs more than any thermometer can know.',
        why: `By ${clockText(plan.outMs, job.zone)}, when it comes out, ${Math.round(100 * plan.oddsFraction)} in 100 are ready.`,
        source:
          frame.kitchen.food(dish, frame.bathC).cut.tendernessClass ?? 'core at the temperature of the bath',
      }),
    );
  }
  if (plan.latestSafeStartMs !== null && plan.latestSafeStartMs > plan.foodInMs) {
    const odds = plan.latestSafeStartOddsFraction ?? 0;
    steps.push(
      stepOf(job, {
        ...about,
        kind: 'latest-start',
        title: `Latest safe start: ${inText(dish)}`,
        atMs: plan.latestSafeStartMs,
        how: 'Not later than this into a hot bath, or it is not safe on the plate in time.',
        why: `Safe${odds < job.oddsFraction ? ', but only' : ', and'} ${Math.round(100 * odds)} in 100 would be ready by then.`,
        source: plan.safeRule,
      }),
    );
  }
  return steps;
}

/** One in four ready, surely safe, and not in the night. */
function firstTestMs({ job }: Frame, { plan }: Course): number | null {
  const { p25Ms } = plan.ready;
  if (p25Ms === null) return null;
  const at = Math.max(p25Ms, plan.safe?.bandMs[1] ?? p25Ms);
  return aroundNight(at, job.night, job.zone).afterMs;
}

/** More than so often is no plan but a leak. */
const MOST_TOP_UPS = 24;

function topUpSteps(frame: Frame): Step[] {
  const { job, kitchen, bathC, schedule, courses, room } = frame;
  const { evaporationKgH } = kitchen.balance.loss(bathC, job.rig.lidOn);
  const endMs = Math.max(...courses.map(({ plan }) => plan.outMs));
  const hours = (endMs - schedule.bathOnMs) / 3.6e6;
  const spare = room.pourLitres - job.rig.openingM2 * job.rig.lowestMm;
  if (!(spare > 0.2)) return [];
  // Half of the spare water at a time: the level also carries what the bags displace.
  const { everyHours } = topUps(evaporationKgH, spare / 2, hours);
  if (everyHours === null) return [];
  const steps: Step[] = [];
  let lastMs = schedule.bathOnMs;
  while (steps.length < MOST_TOP_UPS) {
    const wantedMs = lastMs + everyHours * 3.6e6;
    if (wantedMs >= endMs) break;
    // The evening before, with what is gone by then; where that would hardly be later than the last, in the night.
    const { beforeMs } = aroundNight(wantedMs, job.night, job.zone);
    const atMs = beforeMs > lastMs + 0.25 * everyHours * 3.6e6 ? beforeMs : wantedMs;
    const litres = round((evaporationKgH * (atMs - lastMs)) / 3.6e6);
    lastMs = atMs;
    steps.push(
      stepOf(job, {
        kind: 'top-up',
        key: String(steps.length + 1),
        dishIds: courses.map(({ dish }) => dish.dishId),
        title: `Top up ${litres} L`,
        atMs,
        amounts: { waterLitres: litres, evaporatesLitresPerH: round(evaporationKgH, 2) },
        how: 'Hot water, slowly, away from the bags; a kettle does it.',
        why: `${round(evaporationKgH, 2)} L evaporate an hour ${job.rig.lidOn ? 'in spite of the lid' : 'without a lid'}; element and bags must stay under.`,
        source: 'evaporation after Shah 2014, ASHRAE Trans. 120(2)',
      }),
    );
  }
  return steps;
}

/** What a running cook tells its plan, from the status that the controller shows. */
import type { BagView, Status } from '../wire/status.ts';
import type { Measured, MeasuredBag } from './measured.ts';
import type { Plan } from './types.ts';
import type { WaterRow } from './water-log.ts';

/**
 * The bags of a plan as they really went in. A bag is known by its id; one that was put in under another id stands for
 * the first planned bag of the same cut that is not in yet. Bags that were never planned are left out.
 */
export function bagsMeasured(plan: Plan, views: readonly BagView[]): MeasuredBag[] {
  const planned = plan.dishes.flatMap(({ dishId, bagIds }) => {
    const cutId = plan.job.dishes.find((dish) => dish.dishId === dishId)?.cutId;
    return bagIds.map((bagId) => ({ bagId, cutId }));
  });
  const byId = new Map(views.map((view) => [view.bagId, view]));
  const known = new Set(planned.map(({ bagId }) => bagId));
  const strays = views.filter((view) => !known.has(view.bagId));
  return planned.map(({ bagId, cutId }) => {
    const own = byId.get(bagId);
    const strayAt = own ? -1 : strays.findIndex((view) => view.cutId === cutId);
    const view = own ?? (strayAt < 0 ? undefined : strays.splice(strayAt, 1)[0]);
    if (!view) return { bagId, inAtMs: null };
    const tests = (view.tender?.forkTests ?? []).map(({ atMs, answer }) => ({ atMs, answer }));
    return { bagId, inAtMs: view.inAtMs, outAtMs: view.outAtMs, tests };
  });
}

/** Whether heat can be had at this moment, as far as the controller knows: not stopped, not tripped, board reached. */
export function heatCanBeHad({ heat, trip, alarms }: Pick<Status, 'heat' | 'trip' | 'alarms'>): boolean {
  const gone = new Set<string>(['heat-link-lost', 'heat-no-rise', 'heat-unanswered']);
  return !heat.stopped && trip === null && !alarms.some((one) => one.active && gone.has(one.alarmId));
}

/**
 * All that the re-forecast needs, from a status and the water so far.
 * @param movedToMs dinner was moved to this; null where it stands as planned
 */
export function measuredOf(
  plan: Plan,
  status: Status,
  water: readonly WaterRow[],
  movedToMs: number | null,
): Measured {
  return {
    nowMs: status.wallMs,
    water,
    bags: bagsMeasured(plan, status.bags),
    bathOnMs: status.cook?.startedAtMs ?? null,
    heatAvailable: heatCanBeHad(status),
    ...(status.setpointC === null ? {} : { setpointC: status.setpointC }),
    ...(movedToMs === null ? {} : { serveByMs: movedToMs }),
  };
}

/** From a plan to a cook: the command that begins it, and the bags as they were planned. */
import type { CommandInput, PlannedBag } from '../wire/command.ts';
import type { StoredPlan } from '../wire/plan.ts';
import { PlanFault } from './fault.ts';
import { wholePlan } from './form.ts';
import type { Dish, Plan } from './types.ts';

/** Limits of a bag in a command (see `bagSpecSchema`). */
const LABEL_MOST = 60;
const COOK_NAME_MOST = 80;

/** The bags of a plan as they will go in. Their ids tie what is measured to the plan, so they are kept. */
export function plannedBags(stored: Pick<StoredPlan, 'plan'>): PlannedBag[] {
  const plan = wholePlan(stored);
  return plan.dishes.flatMap(({ dishId, bagIds }) => {
    const dish = plan.job.dishes.find((one) => one.dishId === dishId);
    return dish ? bagIds.map((bagId, i) => bagOf(dish, bagId, i, bagIds.length)) : [];
  });
}

function bagOf(dish: Dish, bagId: string, index: number, count: number): PlannedBag {
  const which = count > 1 ? ` ${index + 1} of ${count}` : '';
  const { cure } = dish;
  return {
    bagId,
    label: `${dish.name.slice(0, LABEL_MOST - which.length)}${which}`,
    cutId: dish.cutId,
    beta: dish.betaRatio,
    thicknessMm: dish.thicknessMm,
    massKg: Math.round(dish.pieceKg * 1000) / 1000,
    startC: dish.startC,
    endpoint: dish.endpoint,
    cure: cure && { method: cure.method, saltPercent: cure.saltPercent, wantedS: cure.wantedS },
  };
}

/** What the page draws itself. */
export interface StartIds {
  readonly id: string;
  readonly cookId: string;
  /** The cook was told what a setpoint below the hot-holding limit means, and said yes. */
  readonly lowSetpointConfirmed?: boolean;
}

type Start = Extract<CommandInput, { kind: 'start-cook' }>;

/**
 * The command that begins the cook of a plan, for `POST /api/command`: its setpoint, its bags for the record, its id.
 * The server adds who said it.
 * @throws PlanFault for a plan without steps: what is not safe, or not within this rig, is not begun
 */
export function startFromPlan(stored: StoredPlan, ids: StartIds): Omit<Start, 'by'> {
  const plan: Plan = wholePlan(stored);
  if (plan.status === 'not-safe' || plan.status === 'rig-cannot') {
    throw new PlanFault([`this plan cannot be begun: ${plan.words}`]);
  }
  return {
    kind: 'start-cook',
    id: ids.id,
    cookId: ids.cookId,
    name: stored.name.slice(0, COOK_NAME_MOST),
    setpointC: plan.bathC,
    lowSetpointConfirmed: ids.lowSetpointConfirmed ?? false,
    plan: {
      planId: stored.planId,
      madeAtMs: stored.madeAtMs,
      serveByMs: plan.serveByMs,
      bags: plannedBags(stored),
    },
  };
}

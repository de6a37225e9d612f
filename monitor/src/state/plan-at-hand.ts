import { signal } from '@preact/signals';
import { ask } from '../command/send.ts';

/** The plan that matters now: that of the running cook, else the next one to be served. Null where there is none. */
export const planAtHand = signal<string | null>(null);

interface Line {
  readonly planId: string;
  readonly serveByMs: number;
  readonly cookId: string | null;
}

/** Asks which plan is at hand. The list is read here by hand, so that a phone without plans loads nothing more. */
export async function findPlanAtHand(cookId: string | null, nowMs: number): Promise<void> {
  const outcome = await ask('GET', '/api/plans');
  if (!outcome.ok) return;
  const lines = (outcome.answer as { plans?: unknown } | null)?.plans;
  if (!Array.isArray(lines)) return;
  const plans = lines as Line[];
  const found =
    cookId === null
      ? plans.find((plan) => plan.cookId === null && plan.serveByMs > nowMs)
      : plans.find((plan) => plan.cookId === cookId);
  // A cook that has just begun is bound to its plan a moment later: the plan stays in view meanwhile.
  const begun =
    cookId !== null && plans.some((plan) => plan.planId === planAtHand.value && plan.cookId === null);
  if (found || !begun) planAtHand.value = typeof found?.planId === 'string' ? found.planId : null;
}

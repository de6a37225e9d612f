import type { PlanOutlook, StoredPlan } from '../../../shared/wire/plan.ts';

/** A nudge to hand to the ways by which people are reached; low priority, never an alarm. */
export interface Nudge {
  /** The same for the same step and time. */
  readonly key: string;
  readonly title: string;
  readonly text: string;
  /** It comes in the night because the job needs it then; else quiet hours hold it back. */
  readonly nightNeeded: boolean;
}

/** A nudge with what to remember of it. */
export interface DueNudge {
  readonly planId: string;
  readonly entry: string;
  readonly nudge: Nudge;
}

/** Later than this a reminder helps nobody. */
const LATE_MS = 20 * 60_000;
/** A step that moved less than this was already announced. */
const SAME_MS = 20 * 60_000;
/** Entries remembered for each plan. */
export const REMINDED_MOST = 200;

/** What is left to do once the cook has ended. */
const AFTER_COOK: ReadonlySet<string> = new Set(['chill', 'store', 'reheat', 'brown', 'plate']);
/** What is done before the cook begins; while a plan waits for its cook, nothing later can be due. */
const BEFORE_COOK: ReadonlySet<string> = new Set(['cure', 'rinse', 'bag', 'bath-on']);

/**
 * Reminders that are due now. Before the cook those of curing, bagging and switching on, from the plan; while it runs
 * all that is left, from the last forecast; afterwards chilling, reheating, browning and plating.
 */
export function dueNudges(
  plans: readonly StoredPlan[],
  outlookOf: (planId: string) => PlanOutlook | null,
  runningCookId: string | null,
  nowMs: number,
): DueNudge[] {
  return plans.flatMap((stored) => {
    const { planId, cookId, name } = stored;
    const runs = cookId !== null && cookId === runningCookId;
    const plan = (cookId === null ? null : outlookOf(planId)?.plan) ?? stored.plan;
    const kinds = new Map(plan.steps.map((step) => [step.id, step]));
    return plan.reminders.flatMap(({ stepId, atMs, text, nightNeeded }): DueNudge[] => {
      const step = kinds.get(stepId);
      if (!step || nowMs < atMs || nowMs - atMs > LATE_MS || wasReminded(stored, stepId, atMs)) return [];
      if (!runs && !(cookId === null ? BEFORE_COOK : AFTER_COOK).has(step.kind)) return [];
      const entry = `${stepId}@${atMs}`;
      const words = `${text}\n${step.how}\nWhy: ${step.why}`;
      return [
        {
          planId,
          entry,
          nudge: { key: `${planId}/${entry}`, title: `${text} (${name})`, text: words, nightNeeded },
        },
      ];
    });
  });
}

function wasReminded({ reminded }: StoredPlan, stepId: string, atMs: number): boolean {
  return reminded.some((entry) => {
    const at = entry.lastIndexOf('@');
    return entry.slice(0, at) === stepId && Math.abs(Number(entry.slice(at + 1)) - atMs) < SAME_MS;
  });
}

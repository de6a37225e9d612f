/**
 * The plan as entries for a calendar file (RFC 5545). Only the facts of each entry: quoting, folding and the file
 * itself are a library's.
 */
import type { Plan } from './types.ts';

/** One entry of a calendar. */
export interface CalendarEntry {
  /** The same step of the same plan keeps its identity, so that a plan sent again replaces the old one. */
  readonly uid: string;
  /** Rises with each revision: a calendar takes the highest. */
  readonly sequence: number;
  readonly startMs: number;
  readonly endMs: number;
  readonly title: string;
  readonly description: string;
  /** Seconds before the start at which a calendar should remind; null: not at all. */
  readonly alarmLeadS: number | null;
}

const LEAST_MS = 5 * 60_000;

/**
 * Entries for everything a person does, and for the span in which each dish is likely ready.
 * @param planId of the kept plan; @param revision of it, from 1
 */
export function calendarEntries(plan: Plan, planId: string, revision: number): CalendarEntry[] {
  const reminders = new Map(plan.reminders.map((r) => [r.stepId, r]));
  return plan.steps
    .filter((step) => step.who !== 'physics')
    .map((step) => {
      const dish = plan.dishes.find((one) => one.dishId === step.dishIds[0]);
      const span = step.kind === 'ready' && dish ? [dish.ready.p10Ms, dish.ready.p90Ms] : [null, null];
      const startMs = span[0] ?? step.atMs;
      const reminder = reminders.get(step.id);
      return {
        uid: `${planId}.${step.id}@bathkeeper`,
        sequence: revision - 1,
        startMs,
        endMs: Math.max(startMs + LEAST_MS, span[1] ?? 0),
        title: step.title,
        description: [step.how, `Why: ${step.why}`, ...step.cautions.map((c) => `Mind: ${c}`)].join('\n'),
        // What was put off till the night is over rings nobody awake by way of the calendar either.
        alarmLeadS:
          reminder && reminder.atMs <= step.atMs ? Math.round((step.atMs - reminder.atMs) / 1000) : null,
      };
    });
}

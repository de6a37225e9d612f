import type { Known } from '../../../shared/plan/form.ts';
import type { Outlook } from '../../../shared/plan/reforecast.ts';
import {
  type PlanForm,
  type PlanOutlook,
  type PlanSummary,
  planOutlookSchema,
  planSummarySchema,
  type StoredPlan,
  storedPlanSchema,
} from '../../../shared/wire/plan.ts';
import { ask, type Trouble, troubleFor } from '../command/send.ts';

/** An answer, or why there is none. */
export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly trouble: Trouble };

type Parse<T> = (answer: unknown) => T;

async function asked<T>(
  method: 'GET' | 'PUT' | 'DELETE',
  path: string,
  parse: Parse<T>,
  body?: unknown,
): Promise<Answer<T>> {
  const outcome = await ask(method, path, body);
  if (!outcome.ok) return outcome;
  try {
    return { ok: true, value: parse(outcome.answer) };
  } catch {
    return {
      ok: false,
      trouble: troubleFor('not-answering', 'The answer about the plan was not understood.'),
    };
  }
}

const pathOf = (planId: string) => `/api/plans/${encodeURIComponent(planId)}`;

/** A forecast in its whole form: the schema names what every reader must have, the rest travels along. */
export const wholeOutlook = (outlook: PlanOutlook): Outlook => outlook as unknown as Outlook;

/** What the controller plans with. */
export const fetchKnown = () => asked('GET', '/api/plans/known', (answer) => answer as Known);

/** The plans kept on the controller. */
export const fetchPlans = () =>
  asked('GET', '/api/plans', (answer): PlanSummary[] =>
    planSummarySchema.array().parse((answer as { plans: unknown }).plans),
  );

/** One plan. */
export const fetchPlan = (planId: string) =>
  asked('GET', pathOf(planId), (answer): StoredPlan => storedPlanSchema.parse(answer));

/** Keeps a plan on the controller, which works it out anew by its own clock. `revision`: null for a new one. */
export const putPlan = (planId: string, form: PlanForm, revision: number | null) =>
  asked('PUT', pathOf(planId), (answer): StoredPlan => storedPlanSchema.parse(answer), {
    form,
    ...(revision === null ? {} : { revision }),
  });

/** Forgets a plan. */
export const deletePlan = (planId: string) => asked('DELETE', pathOf(planId), () => true);

/** The forecast of the cook that runs on a plan; with `serveBy`, what it would be if dinner moved there. */
export const fetchOutlook = (planId: string, serveBy: string | null = null) =>
  asked(
    'GET',
    `${pathOf(planId)}/outlook${serveBy === null ? '' : `?serveBy=${encodeURIComponent(serveBy)}`}`,
    (answer): PlanOutlook | null => planOutlookSchema.nullable().parse(answer),
  );

/** Says, for every phone, that dinner moved; null puts it back. */
export const moveDinner = (planId: string, serveBy: number | null) =>
  asked(
    'PUT',
    `${pathOf(planId)}/move`,
    (answer): PlanOutlook | null => planOutlookSchema.nullable().parse(answer),
    {
      serveBy,
    },
  );

/** Where the calendar file of a plan is. */
export const calendarPath = (planId: string) => `${pathOf(planId)}/calendar.ics`;

import { z } from 'zod';
import { endpointSchema } from './command.ts';

/** Plans kept at once; the oldest that is over makes room, one still to come never does. */
export const MOST_PLANS = 24;

/** Of a plan, and of the page's own making: letters, digits, - and _. */
export const planIdSchema = z.string().regex(/^[A-Za-z0-9_-]{1,64}$/, 'letters, digits, - and _, at most 64');

const cureMethodSchema = z.enum(['equilibrium', 'packed']);

/** One dish as it was asked for; what is left out is taken from what is usual, and named in the plan. */
const dishFormSchema = z.strictObject({
  /** Id or words. */
  cut: z.string().trim().min(1).max(60),
  name: z.string().trim().min(1).max(40).optional(),
  /** All pieces together, raw. */
  massKg: z.number().positive().max(100).optional(),
  piecesCount: z.number().int().min(1).max(64).optional(),
  thicknessMm: z.number().positive().max(300).optional(),
  endpoint: endpointSchema.optional(),
  startC: z.number().min(-5).max(40).optional(),
  /** null: no salt. */
  cure: z
    .strictObject({
      method: cureMethodSchema.optional(),
      saltPercent: z.number().positive().max(10).optional(),
      sugarRatio: z.number().min(0).max(5).optional(),
      wantedS: z.number().min(0).max(2_592_000).optional(),
      aromatics: z
        .array(z.strictObject({ id: z.string().max(40), percent: z.number().min(0).max(5).optional() }))
        .max(24)
        .optional(),
      nitrite: z
        .strictObject({
          curingSaltG: z.number().positive().max(5000),
          nitriteFraction: z.number().positive().max(0.1),
        })
        .nullable()
        .optional(),
    })
    .nullable()
    .optional(),
});

/** What is otherwise with the rig than the controller knows it. */
const rigFormSchema = z.strictObject({
  waterLitres: z.number().positive().max(500).optional(),
  elementW: z.number().positive().max(20_000).optional(),
  lidOn: z.boolean().optional(),
  fillC: z.number().min(0).max(95).optional(),
  roomC: z.number().min(-30).max(60).optional(),
  filmId: z.string().max(40).optional(),
  linerId: z.string().max(40).optional(),
  altitudeM: z.number().min(-500).max(6000).optional(),
});

/** A job as it was entered; kept, so that it can be changed and planned again. */
export const planFormSchema = z.strictObject({
  name: z.string().trim().min(1).max(60).optional(),
  /** `19:30`, `2026-07-03 19:30`, an ISO instant, or milliseconds since 1970. */
  serveBy: z.union([z.string().trim().min(1).max(40), z.number()]),
  /** IANA name. */
  zone: z.string().min(1).max(60),
  peopleCount: z.number().int().positive().max(1000).optional(),
  dishes: z.array(dishFormSchema).min(1).max(8),
  oddsFraction: z.number().positive().max(1).optional(),
  bathC: z.number().min(0).max(100).optional(),
  /** Minutes since midnight; null: steps may fall at any hour. */
  night: z
    .strictObject({ fromMin: z.number().int().min(0).max(1439), toMin: z.number().int().min(0).max(1439) })
    .nullable()
    .optional(),
  serveFrom: z.enum(['bath', 'fridge']).optional(),
  fridgeC: z.number().min(-10).max(20).optional(),
  airMlPerKg: z.number().min(0).max(1000).optional(),
  rig: rigFormSchema.optional(),
});
export type PlanForm = z.infer<typeof planFormSchema>;
export type DishForm = PlanForm['dishes'][number];

const band = z.tuple([z.number(), z.number()]);
const amount = z.union([z.number(), z.string()]);

/** One step, as far as any reader must be able to rely on it; the whole is `Step` of shared/plan. */
const stepSchema = z.looseObject({
  id: z.string(),
  kind: z.string(),
  who: z.enum(['person', 'physics', 'odds']),
  title: z.string(),
  atMs: z.number(),
  bandMs: band.nullable(),
  amounts: z.record(z.string(), amount),
  how: z.string(),
  why: z.string(),
  done: z.boolean(),
});

const reminderSchema = z.looseObject({
  stepId: z.string(),
  atMs: z.number(),
  text: z.string(),
  nightNeeded: z.boolean(),
});

/** A plan as computed. What is not named here travels along untouched: `Plan` of shared/plan is the whole form. */
export const computedPlanSchema = z.looseObject({
  madeAtMs: z.number(),
  serveByMs: z.number(),
  zone: z.string(),
  status: z.enum(['odds-met', 'odds-short', 'not-safe', 'rig-cannot']),
  words: z.string(),
  bathC: z.number(),
  oddsFraction: z.number(),
  steps: z.array(stepSchema),
  dishes: z.array(z.looseObject({ dishId: z.string(), bagIds: z.array(z.string()) })),
  reminders: z.array(reminderSchema),
  job: z.looseObject({ nowMs: z.number(), dishes: z.array(z.looseObject({ dishId: z.string() })) }),
});

/** A plan as the controller keeps it and shows it to every phone. */
export const storedPlanSchema = z.object({
  planId: planIdSchema,
  /** Rises with each change; a change of an older one is refused. */
  revision: z.number().int().positive(),
  name: z.string(),
  madeAtMs: z.number(),
  by: z.string(),
  form: planFormSchema,
  plan: computedPlanSchema,
  /** The cook that was begun from it; null before. */
  cookId: z.string().nullable(),
  /** Dinner was moved to this while the cook ran. */
  movedToMs: z.number().nullable(),
  /** Reminders that were sent, as step and time. */
  reminded: z.array(z.string()),
});
export type StoredPlan = z.infer<typeof storedPlanSchema>;

/** A line of the list of plans. */
export const planSummarySchema = storedPlanSchema
  .pick({ planId: true, revision: true, name: true, madeAtMs: true, by: true, cookId: true })
  .extend({ serveByMs: z.number(), status: computedPlanSchema.shape.status, words: z.string() });
export type PlanSummary = z.infer<typeof planSummarySchema>;

/** What a phone sends to keep a plan. */
export const planPutSchema = z.strictObject({
  form: planFormSchema,
  /** The revision that was changed; left out for a new plan. */
  revision: z.number().int().positive().optional(),
});
export type PlanPut = z.infer<typeof planPutSchema>;

/** What a phone sends when dinner moves; null puts it back. */
export const planMoveSchema = z.strictObject({
  serveBy: z.union([z.string().trim().min(1).max(40), z.number()]).nullable(),
});

/** A running plan forecast anew; the whole is `Outlook` of shared/plan. */
export const planOutlookSchema = z.object({
  planId: planIdSchema,
  cookId: z.string(),
  atMs: z.number(),
  serveByMs: z.number(),
  plan: computedPlanSchema,
  /** Why the forecast stands as it was (`atMs`), or what to doubt about it; null where there is nothing. */
  note: z.string().nullable(),
  changes: z.array(z.looseObject({ kind: z.string(), sinceMs: z.number(), words: z.string() })),
  options: z.array(
    z.looseObject({
      id: z.string(),
      setpointC: z.number().nullable(),
      notBeforeMs: z.number().nullable(),
      oddsFraction: z.number(),
      words: z.string(),
      texture: z.string(),
      safety: z.string(),
    }),
  ),
});
export type PlanOutlook = z.infer<typeof planOutlookSchema>;

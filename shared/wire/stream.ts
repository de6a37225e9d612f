import { z } from 'zod';
import { eventSchema, sampleSchema, tierRowSchema } from './rows.ts';
import { installationSchema, statusSchema } from './status.ts';

/** A client message is small; anything larger is refused before it is parsed. */
export const CLIENT_MESSAGE_MAX_BYTES = 4096;
/** How much of the past is sent sample by sample; what is older comes by tier. */
export const RAW_BACKFILL_S = 1800;

/** First words of the server on every connection. */
export const helloSchema = z.object({
  type: z.literal('hello'),
  bootId: z.string(),
  sequence: z.number().int(),
  serverTime: z.number(),
  installation: installationSchema,
  /** Whether this phone may give guarded commands. */
  paired: z.boolean(),
});

/** What the client already has: sequence 0 = nothing. Valid across boot ids, for sequences never repeat. */
export const resumeSchema = z.object({
  type: z.literal('resume'),
  bootId: z.string().nullable(),
  sequence: z.number().int().nonnegative(),
});

/** The past: raw samples of the last 30 minutes, older by tier, oldest first; in several messages, `done` on the last. */
export const backfillSchema = z.object({
  type: z.literal('backfill'),
  cookId: z.string().nullable(),
  /** True: drop what you have and begin anew (another cook, or too far behind). */
  reset: z.boolean(),
  tiers: z.array(tierRowSchema),
  samples: z.array(sampleSchema),
  events: z.array(eventSchema),
  done: z.boolean(),
});

/** What was committed since the last message. */
export const liveSchema = z.object({
  type: z.literal('live'),
  samples: z.array(sampleSchema),
  events: z.array(eventSchema),
  status: statusSchema,
  /** This client fell behind: samples were left out here and follow as a backfill. */
  degraded: z.boolean(),
});

/** Application heartbeat, so that a silent link is noticed within seconds even when no row was committed. */
export const beatSchema = z.object({
  type: z.literal('beat'),
  serverTime: z.number(),
  journalLagMs: z.number(),
});

export const pairedSchema = z.object({ type: z.literal('paired'), paired: z.boolean() });

export const serverMessageSchema = z.discriminatedUnion('type', [
  helloSchema,
  backfillSchema,
  liveSchema,
  beatSchema,
  pairedSchema,
]);
export type ServerMessage = z.infer<typeof serverMessageSchema>;
export type Hello = z.infer<typeof helloSchema>;
export type Backfill = z.infer<typeof backfillSchema>;
export type Live = z.infer<typeof liveSchema>;

export const clientMessageSchema = z.discriminatedUnion('type', [resumeSchema]);
export type ClientMessage = z.infer<typeof clientMessageSchema>;

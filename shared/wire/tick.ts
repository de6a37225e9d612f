import { z } from 'zod';
import { commandSchema } from './command.ts';
import { deliveryRowSchema } from './reach-view.ts';
import { boardSchema, readingsSchema } from './reading.ts';

/** What a log was found to have lost, or cannot vouch for, at the start. */
export const lostLogSchema = z.object({
  /** What was seen. */
  why: z.string(),
  /** Where the damaged files are kept. */
  keptAs: z.string(),
  /** Wall clock of the last row that is left, and of the last that was acknowledged; null where that is not known. */
  fromMs: z.number().nullable(),
  toMs: z.number().nullable(),
  /** How many seconds of the record are gone; null where nobody can tell. */
  rows: z.number().nullable(),
  /** The log goes on from its good part; false where a new one was begun, which knows of no cook. */
  goesOn: z.boolean(),
  /**
   * Absent: rows are gone. `altered`: rows are there and are not what the chain was made over. `unproved`: the mark that
   * says how far the log must reach is gone, or is of another log.
   */
  what: z.enum(['altered', 'unproved']).optional(),
  /** The last tick that the chain vouches for, where rows after it are not vouched for: nothing is credited on these. */
  unsoundAfter: z.number().int().optional(),
});
export type LostLog = z.infer<typeof lostLogSchema>;

/** The first tick after a restart carries this: the cook was resumed and the controller was away. */
export const restartSchema = z.object({
  /** By the wall clock; null where it cannot be trusted. */
  awayMs: z.number().nullable(),
  /** What the log has lost; absent or null where nothing is. */
  log: lostLogSchema.nullish(),
});

/** What the ways of calling people report: there only where there is news. */
export const callsInputSchema = z.object({
  /** Which of them fail, whole; null where that is as before. */
  state: z
    .object({
      failing: z.array(z.object({ channel: z.string(), why: z.string() })),
      ways: z.number().int(),
      waysFailing: z.number().int(),
    })
    .nullable(),
  /** Lines of the delivery log since the last tick. */
  deliveries: z.array(deliveryRowSchema).max(64),
});
export type CallsInput = z.infer<typeof callsInputSchema>;

/**
 * Everything one tick may know. Kept whole in the journal, so that the same code gives
 * the same outputs from it bit for bit.
 */
export const tickInputSchema = z.object({
  /** Number of this tick; goes on across restarts, never repeats. */
  sequence: z.number().int().positive(),
  monotonicMs: z.number(),
  wallMs: z.number(),
  /** False while the wall clock is not synchronised or has stepped. */
  wallTrusted: z.boolean(),
  readings: readingsSchema,
  board: boardSchema,
  /** Age of the oldest row the journal has not committed yet. */
  journalLagMs: z.number(),
  /** Usually 64 at most; where somebody stops the heat, all that waits before it, which the engine bounds. */
  commands: z.array(commandSchema).max(1024),
  restart: restartSchema.nullable(),
  calls: callsInputSchema.optional(),
});
export type TickInput = z.infer<typeof tickInputSchema>;

/** Permission to heat, for one renewal interval. Absence of a lease is heat off. */
export interface HeatLease {
  readonly ms: number;
}

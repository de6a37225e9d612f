import { z } from 'zod';
import { alarmIdSchema, prioritySchema } from '../../shared/wire/alarm.ts';
import { messageSchema } from '../../shared/wire/reach-view.ts';

/**
 * All that must outlive a restart, as plain JSON. Times named `...ClockMs` are of a clock of its own that only runs
 * forward (see `clock.ts`); `...WallMs` are for people.
 */

/** One alarm that nobody has acknowledged, within an incident. */
const memberSchema = z.object({
  alarmId: alarmIdSchema,
  priority: prioritySchema,
  /** When it rang, by the alarm itself: tells one ringing from the next. */
  sinceMs: z.number(),
  title: z.string(),
  consequence: z.string(),
  action: z.string(),
  detail: z.string(),
  active: z.boolean(),
  /** The next channel and person are called after so long at the latest, s; null: by the configuration alone. */
  escalateAfterS: z.number().nullable().default(null),
});
export type Member = Readonly<z.infer<typeof memberSchema>>;

/** Names one ringing of one alarm: rung anew it is another. */
export const ringingOf = ({ alarmId, sinceMs }: Pick<Member, 'alarmId' | 'sinceMs'>): string =>
  `${alarmId}@${sinceMs}`;

/** One cause that rings: what is unacknowledged of it, and how far the calling has got. */
const incidentSchema = z.object({
  id: z.number().int(),
  cause: z.string(),
  priority: prioritySchema,
  members: z.array(memberSchema),
  openedClockMs: z.number(),
  /** Steps of the calling that were made; names the step in the keys of messages. */
  step: z.number().int(),
  /** When the next step or repetition falls due; null: never. */
  nextClockMs: z.number().nullable(),
  /** 0 while more people are being called, then how often all were called again. */
  round: z.number().int(),
  /** How many channels of each person were tried. A person not in it was not called yet. */
  used: z.record(z.string(), z.number().int()),
  /** Persons passed over because of their quiet hours, so that it is said once. */
  heldFor: z.array(z.string()),
  /** Channels that took a message, so that they hear when it is over. */
  told: z.array(z.string()),
});
export type Incident = Readonly<z.infer<typeof incidentSchema>>;

/** One message on its way to one person by one channel. */
const letterSchema = z.object({
  id: z.number().int(),
  channelId: z.string(),
  incidentIds: z.array(z.number().int()),
  /** The step that wrote it: its failure brings the next step forward, but once. */
  steps: z.record(z.string(), z.number().int()),
  message: messageSchema,
  attempt: z.number().int(),
  dueClockMs: z.number(),
  /** When the attempt under way began; null while none is. */
  sentClockMs: z.number().nullable(),
  /** Set once it was all over while it was still on its way: what to say, should it have got through. */
  overWords: z.string().nullable(),
});
export type Letter = Readonly<z.infer<typeof letterSchema>>;

/** Whether a channel works, by what came back. */
const healthSchema = z.object({
  /** Failures since the last success. */
  failures: z.number().int(),
  sinceWallMs: z.number().nullable(),
  why: z.string(),
  /** A check can clear only what a check could have found. */
  at: z.enum(['connect', 'answer']),
  failing: z.boolean(),
  lastAcceptedWallMs: z.number().nullable(),
  nextCheckClockMs: z.number().nullable(),
});
export type Health = Readonly<z.infer<typeof healthSchema>>;

/** A test that waits for its answer. Of the code only the hash is kept. */
const waitingTestSchema = z.object({
  personId: z.string(),
  channelId: z.string(),
  codeHash: z.string(),
  sentClockMs: z.number(),
});
export type WaitingTest = Readonly<z.infer<typeof waitingTestSchema>>;

/** Proof that somebody read what came by a channel. */
const answerSchema = z.object({
  personId: z.string(),
  channelId: z.string(),
  clockMs: z.number(),
  wallMs: z.number(),
});
export type Answer = Readonly<z.infer<typeof answerSchema>>;

export const reachStateSchema = z.object({
  version: z.literal(1),
  clockMs: z.number(),
  wallMs: z.number(),
  nextId: z.number().int(),
  nextRow: z.number().int(),
  incidents: z.array(incidentSchema),
  letters: z.array(letterSchema),
  health: z.record(z.string(), healthSchema),
  tests: z.array(waitingTestSchema),
  answers: z.array(answerSchema),
  /** Until then the sounder keeps still for these ringings (`ringingOf`), and for no other. */
  silence: z.object({ untilClockMs: z.number(), ringings: z.array(z.string()).default([]) }).nullable(),
});
export type ReachState = Readonly<z.infer<typeof reachStateSchema>>;

/** The state before anything happened. */
export function emptyState(wallMs: number): ReachState {
  return {
    version: 1,
    clockMs: 0,
    wallMs,
    nextId: 1,
    nextRow: 1,
    incidents: [],
    letters: [],
    health: {},
    tests: [],
    answers: [],
    silence: null,
  };
}

/** The state from what was kept, or null where it is not of this form. */
export function parseState(text: string): ReachState | null {
  try {
    const parsed = reachStateSchema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

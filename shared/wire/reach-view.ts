import { z } from 'zod';
import { alarmIdSchema, prioritySchema } from './alarm.ts';
import { idSchema } from './reach.ts';

/**
 * What a message is about: an alarm, the end of one, a test of whether somebody can be reached, or a step of a plan
 * that is due.
 */
export const messageKindSchema = z.enum(['alarm', 'over', 'test', 'reminder']);
export type MessageKind = z.infer<typeof messageKindSchema>;

/**
 * What became of an attempt. `accepted` says that the next machine took it, never that a person saw it;
 * only `answered` says that. `held`: quiet hours; `dropped`: no longer needed, or no room.
 */
export const outcomeSchema = z.enum([
  'accepted',
  'failed',
  'gave-up',
  'held',
  'dropped',
  'answered',
  'working-again',
  'silenced',
]);
export type DeliveryOutcome = z.infer<typeof outcomeSchema>;

/** One line of the delivery log. Holds no secret and no whole address. */
export const deliveryRowSchema = z.object({
  /** Counts up for ever, also across restarts. */
  row: z.number().int(),
  wallMs: z.number(),
  about: z.enum(['alarm', 'over', 'test', 'reminder', 'check', 'sounder', 'page']),
  alarmIds: z.array(alarmIdSchema),
  /** Null where no person is meant: sounder, page, heartbeat. */
  personId: z.string().nullable(),
  person: z.string().nullable(),
  channelId: z.string(),
  channel: z.string(),
  attempt: z.number().int(),
  outcome: outcomeSchema,
  detail: z.string(),
});
export type DeliveryRow = z.infer<typeof deliveryRowSchema>;

/** A channel on which nothing gets through at present. */
export const failingSchema = z.object({
  channelId: z.string(),
  channel: z.string(),
  sinceMs: z.number(),
  why: z.string(),
});
export type Failing = z.infer<typeof failingSchema>;

/** An alarm within a message. */
export const messageAlarmSchema = z.object({
  alarmId: alarmIdSchema,
  priority: prioritySchema,
  title: z.string(),
  /** When it rang, ISO 8601 in UTC. */
  since: z.string(),
  /** False where the condition has gone by itself and nobody has acknowledged. */
  active: z.boolean(),
  detail: z.string(),
  consequence: z.string(),
  action: z.string(),
});
export type MessageAlarm = z.infer<typeof messageAlarmSchema>;

/** What goes out to one person on one channel; the body of a webhook and of an MQTT message as it stands. */
export const messageSchema = z.object({
  kind: messageKindSchema,
  /** The same for every attempt at this message: what was seen before may be dropped. */
  key: z.string(),
  kitchen: z.string(),
  person: z.object({ id: z.string(), name: z.string() }),
  priority: prioritySchema,
  subject: z.string(),
  text: z.string(),
  alarms: z.array(messageAlarmSchema),
  /** When it was written, ISO 8601 in UTC. */
  written: z.string(),
  link: z.string().nullable(),
  /** What to answer with, in a test. */
  code: z.string().nullable(),
});
export type Message = z.infer<typeof messageSchema>;

/** What a service worker gets by push: the short form, because a push service takes 4 kB at most. */
export const pushPayloadSchema = z.object({
  kind: messageKindSchema,
  priority: prioritySchema,
  title: z.string(),
  body: z.string(),
  /** Notifications of one tag replace each other. */
  tag: z.string(),
  link: z.string().nullable(),
  code: z.string().nullable(),
});
export type PushPayload = z.infer<typeof pushPayloadSchema>;

const base64url = (bytes: number) => {
  const chars = Math.ceil((bytes * 4) / 3);
  return z
    .string()
    .regex(new RegExp(`^[A-Za-z0-9_-]{${chars}}={0,2}$`), `expected ${bytes} bytes as base64url`);
};

/** A push subscription as browsers give it (Push API): P-256 point and authentication secret of RFC 8291. */
export const pushSubscriptionSchema = z.object({
  endpoint: z.url({ protocol: /^https$/ }).max(1024),
  expirationTime: z.number().nullable().optional(),
  keys: z.object({ p256dh: base64url(65), auth: base64url(16) }),
});
export type PushSubscriptionJson = z.infer<typeof pushSubscriptionSchema>;

export const subscribeBodySchema = z.strictObject({
  personId: idSchema,
  subscription: pushSubscriptionSchema,
});
export const unsubscribeBodySchema = z.strictObject({ endpoint: z.string().max(1024) });
export const testBodySchema = z.strictObject({
  personId: idSchema,
  channelId: z.string().max(80).nullable().default(null),
});
export const answerBodySchema = z.strictObject({ code: z.string().max(40) });

/** Whether and how one channel of one person works, as the page shows it. */
export const channelViewSchema = z.object({
  channelId: z.string(),
  kind: z.enum(['push', 'mail', 'webhook', 'mqtt']),
  channel: z.string(),
  failing: failingSchema.nullable(),
  lastAcceptedMs: z.number().nullable(),
  /** When a person last answered a test that came this way: proof that it reaches them. */
  lastAnsweredMs: z.number().nullable(),
  testWaits: z.boolean(),
});
export type ChannelView = z.infer<typeof channelViewSchema>;

/** All that the page needs to show who can be reached. */
export const reachViewSchema = z.object({
  people: z.array(
    z.object({
      personId: z.string(),
      person: z.string(),
      quietNow: z.boolean(),
      channels: z.array(channelViewSchema),
    }),
  ),
  failing: z.array(failingSchema),
  sounder: z.object({
    present: z.boolean(),
    level: prioritySchema.nullable(),
    silencedUntilMs: z.number().nullable(),
  }),
  heartbeat: z.object({ channel: z.string(), lastAcceptedMs: z.number().nullable() }).nullable(),
  log: z.array(deliveryRowSchema),
});
export type ReachView = z.infer<typeof reachViewSchema>;

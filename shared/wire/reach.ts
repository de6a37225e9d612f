import { z } from 'zod';
import { reachFaults } from './reach-faults.ts';

/** Where a secret lies. Secrets never stand in the configuration itself: it is kept in the record of each cook. */
export const secretRefSchema = z.union(
  [
    z.strictObject({ file: z.string().min(1).max(4096) }),
    z.strictObject({ env: z.string().regex(/^[A-Za-z_][A-Za-z0-9_]*$/) }),
  ],
  'expected {"file": "<path>"} or {"env": "<NAME>"}; secrets never stand in the configuration itself',
);
export type SecretRef = z.infer<typeof secretRefSchema>;

const PLAIN_URL = 'expected an http or https address without user, password or fragment';

function isPlainUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const url = new URL(text);
  return /^https?:$/.test(url.protocol) && url.username === '' && url.password === '' && url.hash === '';
}

/** An address to call. One that is itself a secret (whoever knows it may use it) is given like a secret. */
const outwardUrlSchema = z.union(
  [z.string().max(2048).refine(isPlainUrl, PLAIN_URL), secretRefSchema],
  `${PLAIN_URL}, or {"file": "<path>"} or {"env": "<NAME>"} that holds one`,
);

/** One line of text without control characters: it ends up in heads of mails and in the log. */
const lineSchema = (most: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(most)
    .regex(/^\P{Cc}*$/u, 'expected one line without control characters');

const clockSchema = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'expected a time of day such as 22:30');

/** From one time of day to another, over midnight where `to` comes first. */
export const quietHoursSchema = z.strictObject({ from: clockSchema, to: clockSchema });
export type QuietHours = z.infer<typeof quietHoursSchema>;

/** One way to one person. */
export const channelSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('push') }),
  z.strictObject({ kind: z.literal('mail'), to: z.email().max(254) }),
  z.strictObject({ kind: z.literal('webhook'), url: outwardUrlSchema, secret: secretRefSchema }),
  z.strictObject({ kind: z.literal('mqtt') }),
]);
export type ChannelConfig = z.infer<typeof channelSchema>;
export type ChannelKind = ChannelConfig['kind'];

export const idSchema = z
  .string()
  .regex(/^[a-z0-9][a-z0-9-]{0,23}$/, 'expected 1 to 24 of a-z, 0-9 and -, a letter or digit first');

const personSchema = z.strictObject({
  id: idSchema,
  name: lineSchema(60),
  /** In the order in which they are tried. */
  channels: z.array(channelSchema).min(1).max(6),
  /** `house`: as for everybody. Null: none. They never hold back high priority. */
  quietHours: z
    .union(
      [z.literal('house'), z.null(), quietHoursSchema],
      'expected "house", null, or from and to as times of day such as {"from": "22:30", "to": "06:00"}',
    )
    .default('house'),
});
export type PersonConfig = z.infer<typeof personSchema>;

const minutes = z.number().min(1).max(1440);

/** Unacknowledged for this long: on to the next channel and the next person. Null: stays with the first. */
const escalateSchema = z
  .strictObject({
    high: minutes.max(30).default(3),
    medium: minutes.default(15),
    low: minutes.nullable().default(null),
  })
  .prefault({});

/** Everybody was told and nobody acknowledged: said again this often. Null: not again. High is always said again. */
const reannounceSchema = z
  .strictObject({
    high: minutes.max(60).default(10),
    medium: minutes.nullable().default(60),
    low: minutes.nullable().default(null),
  })
  .prefault({});

const mailSchema = z.strictObject({
  host: lineSchema(253),
  /** Null: 465 for `implicit`, 587 for `starttls`, 25 for `none`. */
  port: z.number().int().min(1).max(65535).nullable().default(null),
  /** `starttls` insists on encryption; `none` is for a server on this machine or a wire of one's own. */
  tls: z.enum(['implicit', 'starttls', 'none']).default('starttls'),
  from: z.email().max(254),
  user: lineSchema(254).nullable().default(null),
  password: secretRefSchema.nullable().default(null),
});
export type MailConfig = z.infer<typeof mailSchema>;

const mqttSchema = z.strictObject({
  host: lineSchema(253),
  /** Null: 8883 with TLS, 1883 without. */
  port: z.number().int().min(1).max(65535).nullable().default(null),
  tls: z.boolean().default(true),
  user: lineSchema(254).nullable().default(null),
  password: secretRefSchema.nullable().default(null),
  /** First part of every topic. */
  topic: z
    .string()
    .regex(/^[A-Za-z0-9_-]+(\/[A-Za-z0-9_-]+)*$/, 'expected words of A-Z, a-z, 0-9, _ and - with / between')
    .max(100)
    .default('bathkeeper'),
  telemetryEveryS: z.number().int().min(1).max(3600).default(10),
  /** Telemetry older than this is dropped by the broker and must not be shown as present. */
  expireS: z.number().int().min(5).max(86400).default(60),
});
export type MqttConfig = z.infer<typeof mqttSchema>;

const heartbeatSchema = z.strictObject({
  url: outwardUrlSchema,
  everyS: z.number().int().min(10).max(3600).default(60),
});
export type HeartbeatConfig = z.infer<typeof heartbeatSchema>;

/** Whom the push services may write to when something is wrong (RFC 8292, section 2.1). */
const pushSchema = z.strictObject({
  contact: z
    .string()
    .max(254)
    .regex(
      /^(mailto:[^\s@]+@[^\s@]+|https:\/\/\S+)$/,
      'expected mailto:somebody@somewhere or an https address',
    ),
});

const zoneSchema = z
  .string()
  .refine(isTimeZone, 'expected a time zone of the IANA database, such as Europe/Zurich');

function isTimeZone(name: string): boolean {
  try {
    return new Intl.DateTimeFormat('en', { timeZone: name }) !== null;
  } catch {
    return false;
  }
}

/** Section `reach` of the configuration: who is told, how, in which order. Without people only page and sounder call. */
export const reachSchema = z
  .strictObject({
    people: z.array(personSchema).max(12).default([]),
    /** For quiet hours and for times in messages. Null: the zone of this machine. */
    timeZone: zoneSchema.nullable().default(null),
    quietHours: quietHoursSchema.nullable().default(null),
    escalateAfterMin: escalateSchema,
    reannounceAfterMin: reannounceSchema,
    /** How long the sounder keeps still when somebody silences it. Silence is not acknowledgement. */
    silenceMin: minutes.max(15).default(5),
    /** Who was called is told when somebody has acknowledged. */
    tellWhenOver: z.boolean().default(true),
    /** Address of the page for links in messages, as those people reach it. Null: no links. */
    pageUrl: z.string().max(500).refine(isPlainUrl, PLAIN_URL).nullable().default(null),
    /** Certificates trusted beside the usual ones, PEM; for servers of one's own. */
    caFile: z.string().min(1).max(4096).nullable().default(null),
    mail: mailSchema.nullable().default(null),
    mqtt: mqttSchema.nullable().default(null),
    push: pushSchema.nullable().default(null),
    heartbeat: heartbeatSchema.nullable().default(null),
  })
  .check(
    z.superRefine(
      (value, context) => {
        for (const { path, message } of reachFaults(value))
          context.addIssue({ code: 'custom', path, message });
      },
      // Also where the form is at fault elsewhere: every fault is listed at once.
      { when: () => true },
    ),
  )
  .prefault({});
export type ReachConfig = z.infer<typeof reachSchema>;

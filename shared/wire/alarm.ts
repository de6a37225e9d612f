import { z } from 'zod';

/** Alarms the controller can raise; the table behind them is controller/tick/alarm/table.ts. */
export const alarmIdSchema = z.enum([
  'bath-below-hot-limit',
  'bath-low',
  'bath-high',
  'probe-invalid',
  'controller-restarted',
  'log-damaged',
  'log-begun-anew',
  'log-unproved',
  'heat-link-lost',
  'over-temperature',
  'journal-behind',
  'water-low',
  'food-limit-broken',
  'cooling-reading-due',
  'load-unexplained',
  'heat-not-stopping',
  'rising-unasked',
  'switch-welded',
  'over-setpoint',
  'probe-out-of-water',
  'probe-stuck',
  'probe-jumping',
  'heat-no-rise',
  'heat-unanswered',
  'lease-not-honoured',
  'presence-lapsed',
  'loss-high',
  'reading-step',
  'probes-disagree',
  'probe-failing',
  'circulation-stopped',
  'water-low-soon',
  'bag-afloat',
  'second-probe-lost',
  'level-switch-lost',
  'presence-due',
  'unattended-lacks',
  'tick-late',
  'rig-drift',
  'clock-stepped',
  'nobody-reachable',
  'channel-failing',
]);
export type AlarmId = z.infer<typeof alarmIdSchema>;

export const prioritySchema = z.enum(['high', 'medium', 'low']);
export type Priority = z.infer<typeof prioritySchema>;

/** States of ISA-18.2 / IEC 62682. Priority is a separate field. */
export const alarmStateSchema = z.enum([
  'normal',
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'latched',
  'shelved',
  'suppressed-by-design',
  'out-of-service',
]);
export type AlarmState = z.infer<typeof alarmStateSchema>;

/** One alarm as people see it: what is so, what it leads to, what to do. */
export const alarmViewSchema = z.object({
  alarmId: alarmIdSchema,
  title: z.string(),
  priority: prioritySchema,
  state: alarmStateSchema,
  /** Whether the condition holds at this moment, apart from the state. */
  active: z.boolean(),
  sinceMs: z.number(),
  cause: z.string(),
  consequence: z.string(),
  action: z.string(),
  /** What was seen and what was expected, with numbers. */
  detail: z.string(),
  /** The cut is latched on the board itself: it can be asked to clear it, and judges whether the cause has gone. */
  boardHolds: z.literal(true).optional(),
  acknowledgedBy: z.string().nullable(),
  /** Whether it is to be heard: nobody has acknowledged it, and it is no mere consequence of what somebody has. */
  rings: z.boolean(),
  /** A standing alarm that brings this one about; null where it stands for itself. */
  becauseOf: alarmIdSchema.nullable(),
  /** Unacknowledged for so long, s, the next channel and person are called at the latest; null = never. */
  escalateAfterS: z.number().nullable(),
  /** Why it is set aside, suppressed or out of service, by whom and until when; null where it is none of these. */
  aside: z
    .object({
      by: z.string().nullable(),
      reason: z.string(),
      sinceMs: z.number(),
      untilMs: z.number().nullable(),
      /** Comes back as soon as the condition has gone once. */
      once: z.boolean(),
    })
    .nullable(),
});
export type AlarmView = z.infer<typeof alarmViewSchema>;

/** One alarm of the table, whether or not it stands: what it is about, and what may be done with it. */
export const alarmEntrySchema = alarmViewSchema
  .pick({ alarmId: true, title: true, priority: true, cause: true, consequence: true, action: true })
  .extend({
    /** Time a person has, s. */
    respondS: z.number(),
    trips: z.boolean(),
    /** It may be shelved for so many minutes at most; 0 = never. */
    shelveMostMin: z.number(),
    mayLeaveService: z.boolean(),
  });
export type AlarmEntry = z.infer<typeof alarmEntrySchema>;

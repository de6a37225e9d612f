import { z } from 'zod';

/** Alarms the controller can raise; the table behind them is controller/tick/alarm/table.ts. */
export const alarmIdSchema = z.enum([
  'bath-below-hot-limit',
  'bath-low',
  'bath-high',
  'probe-invalid',
  'controller-restarted',
  'heat-link-lost',
  'over-temperature',
  'journal-behind',
  'water-low',
  'food-limit-broken',
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
});
export type AlarmView = z.infer<typeof alarmViewSchema>;

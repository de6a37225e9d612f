import { z } from 'zod';
import { alarmIdSchema, alarmStateSchema, prioritySchema } from './alarm.ts';
import {
  bagSpecSchema,
  type Command,
  type CommandResult,
  chillMethodSchema,
  chillOutcomeSchema,
} from './command.ts';
import type { EventRow, Sample } from './rows.ts';
import { cookViewSchema } from './status.ts';
import type { TickInput } from './tick.ts';

/** A cook as the journal keeps it. Written again whenever it changes. */
export const cookRowSchema = cookViewSchema.extend({
  codeVersion: z.string(),
  /** The configuration in force at its start, as JSON. */
  configJson: z.string(),
  /** Version of the board's program; absent where there is no board. */
  firmware: z.string().optional(),
  setpointC: z.number(),
});
export type CookRow = z.infer<typeof cookRowSchema>;

/** The cooling of a bag that was taken out to chill, as the journal keeps it. */
export const chillRowSchema = z.object({
  method: chillMethodSchema,
  startedAtMs: z.number(),
  readings: z.array(z.object({ atMs: z.number(), celsius: z.number(), errorC: z.number(), by: z.string() })),
  endedAtMs: z.number().nullable(),
  outcome: chillOutcomeSchema.nullable(),
  fridgeC: z.number().nullable(),
  /** Null while it is not decided. */
  coolingKept: z.boolean().nullable(),
  /** Null where none is given. */
  storeUntilMs: z.number().nullable(),
});

/** A bag as the journal keeps it. Written again whenever it changes. */
export const bagRowSchema = bagSpecSchema.extend({
  cookId: z.string(),
  assumed: z.boolean(),
  inAtMs: z.number(),
  outAtMs: z.number().nullable(),
  standardId: z.string().nullable(),
  lethalityMetAtMs: z.number().nullable(),
  /** C. perfringens in the worst case up to this version, log10; absent in records of earlier versions. */
  growthLog10: z.number().optional(),
  /** Limits that were broken up to this version, in the worst case; they stay. Absent likewise. */
  broken: z.array(z.object({ limit: z.string(), words: z.string(), source: z.string() })).optional(),
  /** Only of a bag that was taken out to chill. */
  chill: chillRowSchema.optional(),
});
export type BagRow = z.infer<typeof bagRowSchema>;

/** One change of state of one alarm. */
export const alarmRowSchema = z.object({
  sequence: z.number().int(),
  wallMs: z.number(),
  cookId: z.string().nullable(),
  alarmId: alarmIdSchema,
  priority: prioritySchema,
  from: alarmStateSchema,
  to: alarmStateSchema,
  detail: z.string(),
  by: z.string().nullable(),
});
export type AlarmRow = z.infer<typeof alarmRowSchema>;

/** Everything one finished tick hands to the journal. All of it is committed together or not at all. */
export interface TickRecord {
  readonly input: TickInput;
  readonly sample: Sample;
  readonly cookId: string | null;
  readonly events: readonly EventRow[];
  readonly alarms: readonly AlarmRow[];
  readonly commands: readonly { command: Command; result: CommandResult }[];
  readonly cook: CookRow | null;
  readonly bags: readonly BagRow[];
}

/** True where the record holds something that must be on disk before anybody is told: commands, alarms, decisions, calls. */
export function mustBeDurable(record: TickRecord): boolean {
  return (
    record.commands.length > 0 ||
    record.events.some((event) => event.kind === 'delivery') ||
    record.alarms.length > 0 ||
    record.cook !== null ||
    record.bags.length > 0
  );
}

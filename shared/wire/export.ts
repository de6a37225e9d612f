import { z } from 'zod';
import { commandResultSchema, commandSchema } from './command.ts';
import { alarmRowSchema, bagRowSchema, cookRowSchema } from './record.ts';
import { eventSchema, sampleSchema } from './rows.ts';

/** A command with the tick that took it in, as the journal keeps it. */
export const commandRowSchema = z.object({
  sequence: z.number().int(),
  wallMs: z.number(),
  command: commandSchema,
  result: commandResultSchema,
});
export type CommandRow = z.infer<typeof commandRowSchema>;

/** One run of the controller: from one start to the next. */
export const runRowSchema = z.object({
  bootId: z.string(),
  codeVersion: z.string(),
  /** 1 on a real rig; above 1 the rows are a simulation run faster. */
  speed: z.number(),
  /** The last sequence that was on disk when this run began. */
  afterSequence: z.number().int(),
});
export type RunRow = z.infer<typeof runRowSchema>;

/**
 * Where the samples of a cook do not follow one another second by second, and why:
 * away = the controller was not running; missed-ticks = it ran and was late; not-recorded = sequence
 * numbers are missing from the log; no-reading = the bath probe gave no valid reading;
 * clock-step = nothing is missing, the wall clock was set.
 */
export const gapSchema = z.object({
  kind: z.enum(['away', 'missed-ticks', 'not-recorded', 'no-reading', 'clock-step']),
  /** Wall time of the last sample before and the first after. */
  fromMs: z.number(),
  toMs: z.number(),
  afterSequence: z.number().int(),
  beforeSequence: z.number().int(),
  /** False where the wall clock was not trusted at either end: the length is then a guess. */
  wallTrusted: z.boolean(),
  reason: z.string(),
});
export type Gap = z.infer<typeof gapSchema>;

/** The JSON export of a whole cook. Text named by people is exactly as they wrote it. */
export const cookExportSchema = z.object({
  format: z.literal('bathkeeper-cook'),
  version: z.literal(1),
  /** The last sequence that this export covers. */
  throughSequence: z.number().int(),
  cook: cookRowSchema,
  runs: z.array(runRowSchema),
  bags: z.array(bagRowSchema),
  commands: z.array(commandRowSchema),
  events: z.array(eventSchema),
  alarms: z.array(alarmRowSchema),
  samples: z.array(sampleSchema),
  gaps: z.array(gapSchema),
});
export type CookExport = z.infer<typeof cookExportSchema>;

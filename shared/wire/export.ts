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

/** Every version of a cook or a bag, with the tick that wrote it: what was edited, and when. */
export const cookVersionSchema = z.object({ sequence: z.number().int(), row: cookRowSchema });
export const bagVersionSchema = z.object({ sequence: z.number().int(), row: bagRowSchema });
export type CookVersion = z.infer<typeof cookVersionSchema>;
export type BagVersion = z.infer<typeof bagVersionSchema>;

/** What a digest of 32 bytes looks like. */
export const sha256Schema = z.string().regex(/^[0-9a-f]{64}$/);

/**
 * One link of the SHA-256 chain: the tick's number; the link with the marks of its leaves; the leaf of what the tick
 * took in, which is not exported; and the leaves of other rows that are not exported, with their places. In base64.
 */
export const chainLinkSchema = z.tuple([
  z.number().int(),
  z.string(),
  z.string(),
  z.array(z.tuple([z.number().int(), z.string()])),
]);
export type ChainLink = z.infer<typeof chainLinkSchema>;

/** The chain over the rows of one export; see controller/journal/README.md for how a link is made. */
export const chainSchema = z.object({
  algorithm: z.literal('SHA-256'),
  /** The link that the first of these follows on. */
  before: sha256Schema,
  links: z.array(chainLinkSchema),
  /** Ticks of the cook that were recorded before there was a chain. */
  unchained: z.number().int(),
  /** The last link. Written down elsewhere, it holds the whole record to what it was. */
  head: sha256Schema,
  /** Over the parts that no link covers: the newest versions, runs and gaps, with the ends of the chain. */
  seal: sha256Schema,
});
export type Chain = z.infer<typeof chainSchema>;

/** The JSON export of a whole cook. Text named by people is exactly as they wrote it. */
export const cookExportSchema = z.object({
  format: z.literal('bathkeeper-cook'),
  version: z.literal(2),
  /** The last sequence that this export covers. */
  throughSequence: z.number().int(),
  cook: cookRowSchema,
  runs: z.array(runRowSchema),
  bags: z.array(bagRowSchema),
  cookVersions: z.array(cookVersionSchema),
  bagVersions: z.array(bagVersionSchema),
  commands: z.array(commandRowSchema),
  events: z.array(eventSchema),
  alarms: z.array(alarmRowSchema),
  samples: z.array(sampleSchema),
  gaps: z.array(gapSchema),
  chain: chainSchema,
});
export type CookExport = z.infer<typeof cookExportSchema>;

import { z } from 'zod';

const nullable = z.number().nullable();

/** A bag's estimate at one moment. */
export const bagSampleSchema = z.object({
  bagId: z.string(),
  /** Core in the middle case, and the coldest and hottest case of the envelope, in degrees C. */
  coreC: z.number(),
  coldC: z.number(),
  hotC: z.number(),
  /** Lethality of the worst case, log10. */
  log10: z.number(),
});
export type BagSample = z.infer<typeof bagSampleSchema>;

/** One second of a cook. `sequence` numbers ticks across restarts and never repeats. */
export const sampleSchema = z.object({
  sequence: z.number().int(),
  wallMs: z.number(),
  bathC: nullable,
  setpointC: nullable,
  duty: z.number(),
  bags: z.array(bagSampleSchema),
});
export type Sample = z.infer<typeof sampleSchema>;

/** Widths of the tiers that older samples are summarised in, in seconds. */
export const TIERS_S = [10, 60, 600] as const;
export const tierWidthSchema = z.union([z.literal(10), z.literal(60), z.literal(600)]);
export type TierWidth = z.infer<typeof tierWidthSchema>;

/** Summary of one bucket of a tier. `count` counts the samples with a valid bath reading. */
export const tierRowSchema = z.object({
  widthS: tierWidthSchema,
  /** Start of the bucket, a whole multiple of the width since the epoch. */
  startMs: z.number(),
  firstSequence: z.number().int(),
  lastSequence: z.number().int(),
  count: z.number().int(),
  minC: nullable,
  meanC: nullable,
  maxC: nullable,
  setpointC: nullable,
  duty: z.number(),
  /** The last estimate of each bag within the bucket. */
  bags: z.array(bagSampleSchema),
});
export type TierRow = z.infer<typeof tierRowSchema>;

/** What happened, for the log and the record. `kind` is a short stable word, `data` plain JSON. */
export const eventSchema = z.object({
  sequence: z.number().int(),
  wallMs: z.number(),
  cookId: z.string().nullable(),
  kind: z.string(),
  text: z.string(),
  data: z.record(z.string(), z.unknown()),
});
export type EventRow = z.infer<typeof eventSchema>;

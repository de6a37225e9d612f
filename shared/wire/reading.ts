import { z } from 'zod';

/** Why a reading may or may not be used. Only `good` carries a temperature. */
export const qualitySchema = z.enum([
  'good', // fresh, plausible, its checks passed
  'absent', // the probe did not answer
  'crc', // it answered, the checksum or fixed bytes were wrong
  'range', // outside what this bath can be
  'power-on', // the sensor's reset value, not a measurement
  'open', // analogue: the circuit is broken somewhere
  'shorted', // analogue: the two wires touch, or water joins them
  'saturated', // analogue: at the end of what amplifier and converter can show
  'offline', // the rig itself is not answering
]);
export type Quality = z.infer<typeof qualitySchema>;

/** One probe reading: never just a number. `monotonicMs` is when the reply arrived. */
export const readingSchema = z.object({
  celsius: z.number().nullable(),
  quality: qualitySchema,
  sequence: z.number().int().nonnegative(),
  monotonicMs: z.number(),
});
export type Reading = z.infer<typeof readingSchema>;

/** What the rig last reported of the heat circuit and its interlocks. `null` = this rig cannot tell. */
export const boardSchema = z.object({
  link: z.enum(['up', 'down']),
  regulatingClosed: z.boolean().nullable(),
  guardClosed: z.boolean().nullable(),
  levelOk: z.boolean().nullable(),
  leaseRefused: z.string().nullable(),
  latched: z.string().nullable(),
  /** Version of the board's program, said once after it was greeted; absent where there is nothing new. */
  firmware: z.string().max(20).optional(),
});
export type Board = z.infer<typeof boardSchema>;

export const coreReadingSchema = z.object({ bagId: z.string(), reading: readingSchema });

/** Every probe by its role. */
export const readingsSchema = z.object({
  bath: readingSchema,
  second: readingSchema.nullable(),
  ambient: readingSchema.nullable(),
  cores: z.array(coreReadingSchema).max(8),
});
export type Readings = z.infer<typeof readingsSchema>;

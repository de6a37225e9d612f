import { z } from 'zod';
import { alarmViewSchema } from './alarm.ts';
import { bagSpecSchema } from './command.ts';
import { qualitySchema } from './reading.ts';

export const cookStageSchema = z.enum(['heating', 'ready-for-food', 'food-in', 'holding', 'taken-out']);
export type CookStage = z.infer<typeof cookStageSchema>;

/** Progress under one lethality standard, worst case of the envelope. */
export const lethalityViewSchema = z.object({
  standardId: z.string(),
  standard: z.string(),
  organism: z.string(),
  source: z.string(),
  targetLog10: z.number(),
  log10: z.number(),
  /** When the dwell that the standard words was completed; null while it is not. */
  metAtMs: z.number().nullable(),
});
export type LethalityView = z.infer<typeof lethalityViewSchema>;

export const bagViewSchema = bagSpecSchema.extend({
  cutName: z.string(),
  /** True where the controller assumed the bag because nobody answered. */
  assumed: z.boolean(),
  inAtMs: z.number(),
  outAtMs: z.number().nullable(),
  coreC: z.number(),
  coldC: z.number(),
  hotC: z.number(),
  lethality: lethalityViewSchema.nullable(),
});
export type BagView = z.infer<typeof bagViewSchema>;

export const cookViewSchema = z.object({
  cookId: z.string(),
  name: z.string(),
  stage: cookStageSchema,
  startedAtMs: z.number(),
  endedAtMs: z.number().nullable(),
});
export type CookView = z.infer<typeof cookViewSchema>;

/** Why heat is or is not granted at this moment, in words. */
export const heatViewSchema = z.object({
  granted: z.boolean(),
  duty: z.number(),
  /** The circuit as the board reports it; null where it cannot tell. */
  circuitClosed: z.boolean().nullable(),
  stopped: z.boolean(),
  reason: z.string(),
});

/** The whole present state as a page needs it. */
export const statusSchema = z.object({
  sequence: z.number().int(),
  wallMs: z.number(),
  wallTrusted: z.boolean(),
  bath: z.object({ celsius: z.number().nullable(), quality: qualitySchema, ageMs: z.number().nullable() }),
  setpointC: z.number().nullable(),
  /** The temperature below which the danger-zone alarm stands, while food is in. */
  hotLimitC: z.number(),
  heat: heatViewSchema,
  cook: cookViewSchema.nullable(),
  bags: z.array(bagViewSchema),
  alarms: z.array(alarmViewSchema),
  /** A question the controller waits on; answering it is a command. */
  question: z
    .object({ kind: z.literal('load'), sinceMs: z.number(), dueMs: z.number(), text: z.string() })
    .nullable(),
});
export type Status = z.infer<typeof statusSchema>;

/** What does not change while the controller runs. */
export const installationSchema = z.object({
  kitchen: z.string(),
  rigKind: z.enum(['simulated', 'emulated', 'usb']),
  rigText: z.string(),
  /** Demo time runs this many times faster than real time; 1 on a real rig. */
  speed: z.number(),
  codeVersion: z.string(),
  hotLimitC: z.number(),
  hardMaxC: z.number(),
});
export type Installation = z.infer<typeof installationSchema>;

import { z } from 'zod';
import { alarmIdSchema, alarmViewSchema } from './alarm.ts';
import {
  bagSpecSchema,
  chillMethodSchema,
  chillOutcomeSchema,
  endpointSchema,
  forkAnswerSchema,
  liesSchema,
} from './command.ts';
import { outageViewSchema } from './outage.ts';
import { PROBE_ROLES } from './probe-roles.ts';
import { qualitySchema } from './reading.ts';

export const cookStageSchema = z.enum(['heating', 'ready-for-food', 'food-in', 'holding', 'taken-out']);
export type CookStage = z.infer<typeof cookStageSchema>;

/** Progress under one lethality standard, on the case that was heated least. */
export const lethalityViewSchema = z.object({
  standardId: z.string(),
  standard: z.string(),
  organism: z.string(),
  source: z.string(),
  /** Null where the document names no reduction. */
  targetLog10: z.number().nullable(),
  /** The integral along the core: an equivalent, not the document's words. */
  log10: z.number(),
  equivalentMetAtMs: z.number().nullable(),
  /** The dwell as the document words it: its row, how long it was held, how long it must be. Null for D and z. */
  dwell: z
    .object({
      row: z.string().nullable(),
      heldS: z.number(),
      needS: z.number(),
      metByRow: z.string().nullable(),
    })
    .nullable(),
  /** When it was met: by the dwell where there is one, else by the integral. Null while it is not. */
  metAtMs: z.number().nullable(),
  /** When it will be met if the bath stays as it is; null where it is met, or not within a day. */
  dueAtMs: z.number().nullable(),
  /** A reading showed the piece slower than the model, and the forecast goes by it: with no `dueAtMs`, the reason why. */
  dueHeldBy: z.enum(['probe', 'hand']).nullable(),
});
export type LethalityView = z.infer<typeof lethalityViewSchema>;

/** A judgement in words with the rule it rests on; never a bare tick. */
export const verdictViewSchema = z.object({
  status: z.enum(['kept', 'not-yet', 'broken', 'unknown']),
  words: z.string(),
  rule: z.string(),
  source: z.string(),
  asks: z.string().nullable(),
  cautions: z.array(z.string()),
});
export type VerdictView = z.infer<typeof verdictViewSchema>;

/** When the piece will be ready, as odds; null times lie beyond three days. */
export const tenderViewSchema = z.object({
  endpoint: endpointSchema,
  readyNow: z.number(),
  p10AtMs: z.number().nullable(),
  p50AtMs: z.number().nullable(),
  p90AtMs: z.number().nullable(),
  /** (90 % minus 10 %) over the middle, counted from when the food went in. */
  spanRatio: z.number().nullable(),
  equivalentHoursAt70C: z.number(),
  /** What the forecast rests on. */
  why: z.string(),
  forkTests: z.array(z.object({ atMs: z.number(), answer: forkAnswerSchema, by: z.string() })),
});
export type TenderView = z.infer<typeof tenderViewSchema>;

/** The cooling of a bag that was taken out to chill. */
export const chillViewSchema = z.object({
  method: chillMethodSchema,
  startedAtMs: z.number(),
  readings: z.array(z.object({ atMs: z.number(), celsius: z.number(), by: z.string() })),
  /** What must be reached next, and by when, under the rule that asks it first; null where nothing is left. */
  next: z.object({ celsius: z.number(), dueAtMs: z.number(), rule: z.string() }).nullable(),
  endedAtMs: z.number().nullable(),
  outcome: chillOutcomeSchema.nullable(),
  storage: z.object({
    untilMs: z.number().nullable(),
    words: z.string(),
    conditions: z.array(z.string()),
    rule: z.string(),
    source: z.string(),
  }),
});
export type ChillView = z.infer<typeof chillViewSchema>;

/** A core read by hand in the bath, and what it did to the credit. */
export const handReadingSchema = z.object({
  atMs: z.number(),
  celsius: z.number(),
  by: z.string(),
  effect: z.enum(['lowered', 'raised', 'none']),
  /** This reading or an earlier one holds the credit lower, until the cold spot is searched and read. */
  holdsLower: z.boolean(),
  flags: z.array(z.string()),
});

export const bagViewSchema = bagSpecSchema.extend({
  cutName: z.string(),
  /** True where the controller assumed the bag because nobody answered. */
  assumed: z.boolean(),
  inAtMs: z.number(),
  outAtMs: z.number().nullable(),
  lies: liesSchema,
  /** The core, modelled: middle case, and the coldest and hottest it may be. */
  coreC: z.number(),
  coldC: z.number(),
  hotC: z.number(),
  /** A probe in the piece, where there is one, and what is doubtful about it. */
  measured: z
    .object({ celsius: z.number().nullable(), credited: z.boolean(), flags: z.array(z.string()) })
    .nullable(),
  /** The last core read by hand while it was in the bath. */
  hand: handReadingSchema.nullable(),
  /** What a probe in the piece last showed under the model, where it no longer does and the credit stays lowered by it. */
  probeHold: z.object({ celsius: z.number(), atMs: z.number() }).nullable(),
  /** A reading of the core took back what had been earned up to then; null where none did. */
  creditAnewAtMs: z.number().nullable(),
  /** Only of a bag that was taken out to chill. */
  chill: chillViewSchema.nullable(),
  /** Who searched the cold spot with the probe, and how; null where nobody did. */
  coldSpot: z.object({ by: z.string(), how: z.string() }).nullable(),
  /** The standard the food is judged by comes first. */
  lethality: z.array(lethalityViewSchema),
  /** Time of the core between 10 and 54.4 degrees C against its limit, on the slowest case. */
  comeUp: z.object({ seconds: z.number(), limitS: z.number(), doneAtMs: z.number().nullable() }),
  growthLog10: z.number(),
  verdicts: z.array(verdictViewSchema),
  tender: tenderViewSchema.nullable(),
  moisturePercent: z.object({ low: z.number(), middle: z.number(), high: z.number() }).nullable(),
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

/** A figure with the interval that holds the truth in 95 % of rigs. */
export const figureSchema = z.object({ value: z.number(), low: z.number(), high: z.number() });

/** What is known of the rig, with intervals. Watts at `atC` degC of water. */
export const rigViewSchema = z.object({
  /** False while the figures are no more than the configuration, widened by 40 %. */
  identified: z.boolean(),
  identifiedAtMs: z.number().nullable(),
  watts: figureSchema,
  heatJK: figureSchema,
  rateCPerS: figureSchema,
  atC: z.number(),
  roomC: z.number(),
  lossLidOnW: figureSchema,
  lossLidOffW: figureSchema,
  delayS: figureSchema,
  deadTimeS: figureSchema,
  lagS: figureSchema,
});
export type RigView = z.infer<typeof rigViewSchema>;

/** Heat latched off: the first cause, and every cause that a person still has to clear. */
export const tripViewSchema = z.object({
  alarmId: alarmIdSchema,
  title: z.string(),
  atMs: z.number(),
  /** What was seen and what was expected, with numbers. */
  detail: z.string(),
  action: z.string(),
  causes: z.array(
    z.object({
      alarmId: alarmIdSchema,
      title: z.string(),
      /** The condition still holds: it cannot be cleared yet. */
      active: z.boolean(),
      /** It must be acknowledged before it can be cleared. */
      acknowledged: z.boolean(),
      /** Cleared only by somebody who says that they stand at the bath. */
      atBathOnly: z.boolean(),
    }),
  ),
});

/** Who watches, what leaving the cook alone lacks, and when a sign is due. */
export const attendanceViewSchema = z.object({
  unattended: z.boolean(),
  lacks: z.array(z.object({ id: z.string(), text: z.string(), action: z.string() })),
  /** Heat stops at this moment unless somebody gives a sign; null = nobody is asked. */
  signDueMs: z.number().nullable(),
  alarmTestAnsweredMs: z.number().nullable(),
});

/** Water gone since the last fill, by the heat it took along. Litres. */
export const waterViewSchema = z.object({
  goneLitres: z.number(),
  goneMostLitres: z.number(),
  spareLitres: z.number(),
});

/** The whole present state as a page needs it. */
export const statusSchema = z.object({
  sequence: z.number().int(),
  wallMs: z.number(),
  wallTrusted: z.boolean(),
  bath: z.object({ celsius: z.number().nullable(), quality: qualitySchema, ageMs: z.number().nullable() }),
  setpointC: z.number().nullable(),
  /** Within this the water is as it should be; outside, the deviation alarms stand. Null without a setpoint. */
  bandC: z.object({ lowC: z.number(), highC: z.number() }).nullable(),
  /** The temperature below which the danger-zone alarm stands, while food is in. */
  hotLimitC: z.number(),
  heat: heatViewSchema,
  cook: cookViewSchema.nullable(),
  bags: z.array(bagViewSchema),
  alarms: z.array(alarmViewSchema),
  trip: tripViewSchema.nullable(),
  attendance: attendanceViewSchema,
  rig: rigViewSchema,
  water: waterViewSchema,
  /** A question the controller waits on; answering it is a command. */
  /** A power cut that waits for decisions; null or absent where there is none. */
  outage: outageViewSchema.nullish(),
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
  /** Whose limits are judged by. */
  profile: z.string(),
  /** The probes of a real rig, and what each one's calibration is worth now; differences in kelvin. */
  probes: z.array(
    z.object({
      rom: z.string(),
      role: z.enum(PROBE_ROLES),
      calibratedAtMs: z.number().nullable(),
      correctionK: z.number().nullable(),
      errorK: z.number(),
      flags: z.array(z.object({ id: z.string(), text: z.string() })),
    }),
  ),
});
export type Installation = z.infer<typeof installationSchema>;

import { z } from 'zod';
import { qualitySchema } from '../../../shared/wire/reading.ts';
import { probeRomSchema } from '../../../shared/wire/rom.ts';

/*
 * What a board link tells and what it may be told: plain data, because on the USB rig a process boundary lies between.
 * Both directions are checked where they arrive.
 */

/** Why a rig cannot heat: a code of the error registry, and what was seen. */
export const rigFaultSchema = z.object({
  code: z.enum([
    'rig-port-missing',
    'rig-port-denied',
    'rig-port-busy',
    'rig-mute',
    'rig-foreign-firmware',
    'rig-firmware-mismatch',
    'rig-limits-refused',
    'rig-analogue-bath',
    'rig-child-lost',
  ]),
  detail: z.string().max(400),
});
export type RigFault = z.infer<typeof rigFaultSchema>;

/** How far the link has come. `reading`: probes only, never heat. */
export const linkPhaseSchema = z.enum(['greeting', 'limits', 'ready', 'reading', 'refused', 'closed']);
export type LinkPhase = z.infer<typeof linkPhaseSchema>;

const u16 = z.number().int().min(0).max(0xffff);
const u32 = z.number().int().min(0).max(0xffff_ffff);
const byte = z.number().int().min(0).max(255);

/** The board's last status, as far as the controller acts on it. */
export const statusViewSchema = z.object({
  /** When it arrived, ms of the clock the link was given. */
  arrivedMs: z.number(),
  firmware: z.string().max(20),
  guardFitted: z.boolean(),
  nonce: u32,
  bootCount: u32,
  uptimeMs: u32,
  regulatingClosed: z.boolean(),
  guardClosed: z.boolean(),
  leaseLeftMs: u16,
  latchedCause: byte,
  latchedDetail: u16,
  resetCause: byte,
  waterPresent: z.boolean(),
  blocks: u16,
  probeCount: byte,
  refusedCount: u16,
  badCrcCount: u16,
  lostBytes: u16,
  sounder: byte,
});
export type StatusView = z.infer<typeof statusViewSchema>;

/** What more there is to know of a probe on an analogue pin. */
export const analogueViewSchema = z.object({
  kind: z.enum(['ntc', 'pt100', 'typeK', 'typeT']),
  /** Mean code of the last second; null before the first. */
  code: z.number().nullable(),
  /** What one step of the converter is worth at this reading, K; null without a reading. */
  stepK: z.number().nonnegative().nullable(),
  /** What is doubtful about a reading that stands all the same; null where nothing is. */
  doubt: z.string().max(300).nullable(),
});
export type AnalogueView = z.infer<typeof analogueViewSchema>;

/** One probe, as last read; uncorrected. */
export const probeViewSchema = z.object({
  /** 16 hex digits; a device of another family keeps its own. Of an analogue probe its pin, such as A0. */
  rom: z.string().regex(/^(?:[0-9A-F]{16}|A\d{1,2})$/),
  celsius: z.number().min(-55).max(125).nullable(),
  quality: qualitySchema.exclude(['offline']),
  /** In words, where there is no reading. */
  why: z.string().max(300).nullable(),
  foreign: z.boolean(),
  /** Only of a probe on an analogue pin. */
  analogue: analogueViewSchema.optional(),
  sequence: z.number().int().nonnegative(),
  arrivedMs: z.number(),
});
export type ProbeView = z.infer<typeof probeViewSchema>;

/** What the board answered to the last message of a kind that matters to people. */
export const answerViewSchema = z.object({
  kind: z.enum(['lease', 'clear']),
  tag: byte,
  code: byte,
  detail: u16,
  arrivedMs: z.number(),
});
export type AnswerView = z.infer<typeof answerViewSchema>;

/** Everything a link knows. */
export const boardViewSchema = z.object({
  phase: linkPhaseSchema,
  fault: rigFaultSchema.nullable(),
  /** Name the board gives itself over Firmata; null until it has spoken. */
  boardName: z.string().max(80).nullable(),
  status: statusViewSchema.nullable(),
  probes: z.array(probeViewSchema).max(24),
  answer: answerViewSchema.nullable(),
});
export type BoardView = z.infer<typeof boardViewSchema>;

/** Limits for the board, and whether a board with one switch may be used. */
export const wantedSchema = z.object({
  bathRom: probeRomSchema,
  maxCode: z.number().int().min(480).max(1520),
  maxHeatS: z.number().int().min(10).max(21_600),
  silenceMs: z.number().int().min(2500).max(3500),
  /** Somebody stays beside the bath: a board without a guard switch is accepted. */
  attended: z.boolean(),
});
export type Wanted = z.infer<typeof wantedSchema>;

/** What a link may be told. Each is carried out once or not at all. */
export const orderSchema = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('lease'),
    tag: byte,
    /** Of a status the originator has seen: a lease that lay in a queue dies of it. */
    nonce: u32,
    ms: z.number().int().min(1).max(2000),
    regulating: z.boolean(),
    guard: z.boolean(),
  }),
  z.object({ kind: z.literal('release') }),
  z.object({ kind: z.literal('trip'), detail: u16 }),
  z.object({ kind: z.literal('clear'), tag: byte, cause: byte, nonce: u32 }),
  z.object({ kind: z.literal('sound'), pattern: z.number().int().min(0).max(3), seconds: u16.max(600) }),
]);
export type Order = z.infer<typeof orderSchema>;

/** Where orders go and views come from: a link in this process, or one in a child. */
export interface BoardPort {
  /** The last view, or null before the first. Never waits. */
  view(nowMs: number): BoardView | null;
  /** Carries out an order once, or drops it. */
  send(order: Order): void;
  /** Heat off in the normal way, and everything let go. */
  close(): Promise<void>;
}

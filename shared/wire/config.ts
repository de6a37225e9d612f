import { z } from 'zod';
import { analogueSchema } from './analogue.ts';
import { analogueClashes } from './analogue-clashes.ts';
import { calibrationsSchema } from './calibration.ts';
import { PROBE_ROLES } from './probe-roles.ts';
import { reachSchema } from './reach.ts';
import { probeRomSchema } from './rom.ts';

/**
 * The switch that regulates decides how often it may move. Minimum on and off times in seconds;
 * a solid-state switch follows mains half-waves, a contactor wears with every move.
 */
export const RELAY_TIMES_S = {
  'solid-state': { minOnS: 1, minOffS: 1, windowS: 10 },
  relay: { minOnS: 5, minOffS: 5, windowS: 30 },
  contactor: { minOnS: 15, minOffS: 15, windowS: 90 },
} as const;
export type RelayKind = keyof typeof RELAY_TIMES_S;

/** Water in the bath (not the size of the box) and the power of the element. Defaults are the hut rig of the demo. */
const bathSchema = z
  .strictObject({
    litres: z.number().min(3).max(200).default(21),
    elementWatts: z.number().min(100).max(6000).default(1000),
    /** Water that stands over the element when the bath is full. Null: three tenths of the litres. */
    spareLitres: z.number().positive().max(200).nullable().default(null),
    /** Moved by a pump, or still: it decides how fast heat gets into the bags. */
    circulation: z.enum(['pumped', 'still']).default('pumped'),
    /**
     * Largest error of the bath probe either way, degrees C. Null: what its calibration leaves, else the 0.5 of the
     * DS18B20's data sheet. A number can only widen what the calibration leaves.
     */
    probeErrorC: z.number().min(0.05).max(10).nullable().default(null),
  })
  .prefault({});

const controlSchema = z
  .strictObject({
    /** Proportional band as gain: duty per degree C. Null: worked out from litres and watts. */
    gainPerC: z.number().positive().max(10).nullable().default(null),
    integralS: z.number().positive().max(36000).nullable().default(null),
    derivativeS: z.number().min(0).max(3600).nullable().default(null),
    relay: z.enum(['solid-state', 'relay', 'contactor']).default('solid-state'),
  })
  .prefault({});

const limitsSchema = z
  .strictObject({
    /** No lease is granted at or above this water temperature. */
    hardMaxC: z.number().min(60).max(95).default(95),
    /** A reading older than this is no reading. */
    probeSilenceS: z.number().min(2).max(10).default(5),
  })
  .prefault({});

const dateSchema = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/, 'a date such as 2026-11-20')
  .nullable()
  .default(null);

/** What the rig has that decides whether a cook may be left alone. Dates are those of the proof; null = not proven. */
const safetySchema = z
  .strictObject({
    /** Switches in series with the element: the regulating one, and the guard. */
    switches: z.union([z.literal(1), z.literal(2)]).default(2),
    secondProbe: z.boolean().default(true),
    levelSwitch: z.boolean().default(true),
    /** Independent manual-reset over-temperature cut-out, tried at commissioning. */
    cutOutProvenOn: dateSchema,
    /** Alarm path that outlives the mains, tried by pulling the plug. */
    alarmPathProvenOn: dateSchema,
    /** In an attended cook somebody must give a sign this often. Null: every 30 min, on a simulated rig never. */
    presenceMinutes: z.number().min(2).max(240).nullable().default(null),
  })
  .prefault({});

/** The board on the bench: written by `bathkeeper rig`, by hand where need be. */
const rigSchema = z
  .strictObject({
    /** Serial port of the board; a name under /dev/serial/by-id stays the same. Null: none was chosen yet. */
    port: z.string().min(1).max(200).nullable().default(null),
    probes: z
      .array(z.strictObject({ rom: probeRomSchema, role: z.enum(PROBE_ROLES) }))
      .max(8)
      .default([]),
    /** Probes on analogue pins: read through a board without our firmware, and never heated with. */
    analogue: analogueSchema.default([]),
    /** Somebody stays beside the bath: a board without a guard switch is accepted. */
    attended: z.boolean().default(false),
    /** Longest heat without a break, s; the board cuts after it. */
    maxHeatS: z.number().int().min(10).max(21_600).default(14_400),
    /** The board cuts heat when its bath probe is silent for so long, ms. */
    silenceMs: z.number().int().min(2500).max(3500).default(3500),
    calibrations: calibrationsSchema.default([]),
    /** Where the commissioning record is kept. */
    commissioningFile: z.string().min(1).default('commissioning.json'),
  })
  .superRefine(({ probes }, context) => {
    for (const role of PROBE_ROLES) {
      const count = probes.filter((probe) => probe.role === role).length;
      if (count > 1)
        context.addIssue({ code: 'custom', message: `${count} probes are ${role}: expected one` });
    }
    const roms = probes.map((probe) => probe.rom);
    if (new Set(roms).size < roms.length) {
      context.addIssue({ code: 'custom', message: 'a probe stands here twice: give each ROM one role' });
    }
  })
  .prefault({});
export type RigConfig = z.infer<typeof rigSchema>;

/** `bathkeeper.json`, whole, with its defaults. Unknown keys are faults: a misspelt limit must not pass in silence. */
export const configSchema = z.strictObject({
  kitchen: z.string().trim().min(1).max(60).default('Hut kitchen'),
  port: z.number().int().min(0).max(65535).default(8410),
  host: z.string().default('0.0.0.0'),
  /** Names this server may be called by, beyond its own addresses and localhost. */
  allowedHosts: z.array(z.string().min(1).max(253)).max(16).default([]),
  /** Whose limits for growth, holding and cooling are judged by; see shared/hazard/README.md. */
  profile: z.enum(['conservative', 'us-food-code', 'usda-fsis']).default('conservative'),
  dataDir: z.string().min(1).default('data'),
  bath: bathSchema,
  control: controlSchema,
  limits: limitsSchema,
  /** Whom an alarm calls, and how. */
  reach: reachSchema,
  safety: safetySchema,
  rig: rigSchema,
});
export type Config = z.infer<typeof configSchema>;
export type ConfigInput = z.input<typeof configSchema>;

export type ConfigResult = { ok: true; config: Config } | { ok: false; faults: string[] };

/** Checks a whole configuration and lists every fault at once, each with the place, what was found and what was expected. */
export function checkConfig(raw: unknown): ConfigResult {
  const parsed = configSchema.safeParse(raw);
  const clashes = analogueClashes(raw);
  if (parsed.success && clashes.length === 0) return { ok: true, config: parsed.data };
  return { ok: false, faults: [...(parsed.success ? [] : issueLines(parsed.error)), ...clashes] };
}

/** One line a fault: where, then what zod found wrong. */
export function issueLines(error: z.ZodError): string[] {
  return error.issues.map((issue) => {
    const where = issue.path.length === 0 ? 'the whole document' : issue.path.map(String).join('.');
    return `${where}: ${issue.message}`;
  });
}

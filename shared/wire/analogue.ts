import { z } from 'zod';
import { PROBE_ROLES } from './probe-roles.ts';
import { romFault } from './rom.ts';

/*
 * Probes on analogue pins, each with the figures of its circuit. Every mistake says what stands there, what was expected
 * and how to mend it, because the figures are copied by hand from a drawing.
 */

/** Pins that plain Firmata can be asked to report: sixteen analogue channels. */
const PIN = /^A(?:\d|1[0-5])$/;

/** What is wrong with the name of an analogue probe, or null. */
export const pinFault = (text: unknown): string | null =>
  typeof text === 'string' && PIN.test(text)
    ? null
    : `${shown(text)} is no analogue pin: expected A0 to A15, as printed beside the pin of the board`;

/** Channel of an analogue pin, 0 to 15: of `A3` it is 3. */
export const channelOf = (pin: string): number => Number(pin.slice(1));

/** What is wrong with the name of a probe of either kind, or null: a ROM, or an analogue pin. */
export const probeNameFault = (text: string): string | null =>
  pinFault(text) === null ? null : /^A/i.test(text) && text.length < 4 ? pinFault(text) : romFault(text);

/** A probe by name: ROM of a DS18B20 as 16 digits, or the pin of an analogue probe such as A0. */
export const probeNameSchema = z.string().superRefine((text, context) => {
  const message = probeNameFault(text);
  if (message !== null) context.addIssue({ code: 'custom', message });
});

const shown = (value: unknown): string => (value === undefined ? 'nothing' : JSON.stringify(value));

/** A number within a range, with words of its own. */
const figure = (low: number, high: number, unit: string, mend: string) =>
  z.number({ error: ({ input }) => words(input, low, high, unit, mend) }).superRefine((value, context) => {
    if (value >= low && value <= high) return;
    context.addIssue({ code: 'custom', message: words(value, low, high, unit, mend) });
  });
const words = (value: unknown, low: number, high: number, unit: string, mend: string) =>
  `${shown(value)} stands here: expected ${low} to ${high}${unit === '' ? '' : ` ${unit}`}; ${mend}`;

const choice = <const T extends readonly [string, ...string[]]>(values: T, mend: string) =>
  z.enum(values, { error: ({ input }) => `${shown(input)}: expected ${values.join(', ')}; ${mend}` });

/** An object that names its keys where a strange one stands in it. */
const part = <T extends z.ZodRawShape>(shape: T) =>
  z.strictObject(shape, {
    error: (issue) =>
      issue.code === 'unrecognized_keys'
        ? `${issue.keys.join(', ')}: not known here, expected ${Object.keys(shape).join(', ')}; mend the spelling or take it out`
        : undefined,
  });

const ohmsOf = (what: string) => figure(1, 10_000_000, 'ohm', `give ${what}, measured or by its print`);
const celsius = figure(-60, 150, 'degrees C', "give it as in the part's table");
const row = part({ celsius, ohms: ohmsOf('the resistance of that row') });
const CURVES = {
  coefficients: part({
    a: figure(-0.1, 0.1, '', 'give A of Steinhart and Hart, for ohms and kelvin'),
    b: figure(1e-6, 0.01, '', 'give B of Steinhart and Hart, for ohms and kelvin'),
    c: figure(0, 0.0001, '', 'give C of Steinhart and Hart, for ohms and kelvin'),
  }),
  points: part({
    points: z.tuple([row, row, row], {
      error: 'expected three rows of the table, {celsius, ohms}; take them near 0, 25 and 85 °C',
    }),
  }),
  beta: part({
    ohmsAt25: ohmsOf('the resistance at 25 °C'),
    betaK: figure(1000, 10_000, 'K', 'most parts have 3000 to 4500'),
  }),
} as const;

/** One of three forms, told apart by its keys, so that a fault within names its own field and not all three forms. */
const curveSchema = z.unknown().transform((raw, context) => {
  const has = (key: string) => typeof raw === 'object' && raw !== null && key in raw;
  const form = has('points') ? CURVES.points : has('betaK') || has('ohmsAt25') ? CURVES.beta : null;
  const chosen = form ?? (has('a') || has('b') || has('c') ? CURVES.coefficients : null);
  if (chosen === null) {
    const message = `${shown(raw)}: expected {a, b, c}, or {points: [three rows of {celsius, ohms}]}, or {ohmsAt25, betaK}; copy one of them from the part's data sheet`;
    context.addIssue({ code: 'custom', message });
    return z.NEVER;
  }
  const parsed = chosen.safeParse(raw);
  if (parsed.success) return parsed.data;
  for (const { path, message } of parsed.error.issues) {
    context.addIssue({ code: 'custom', path: [...path], message });
  }
  return z.NEVER;
});

/** What most boards have, where the configuration says nothing. */
export const USUAL_CONVERTER = { adcBits: 10, referenceVolts: 5 } as const;

const common = {
  /** The pin as printed on the board. */
  name: z.string({ error: ({ input }) => pinFault(input) ?? undefined }).superRefine((text, context) => {
    const message = pinFault(text);
    if (message !== null) context.addIssue({ code: 'custom', message });
  }),
  /** Without a role it is shown and not used. */
  role: choice(PROBE_ROLES, 'or leave it out: then it is only shown').nullable().default(null),
  adcBits: figure(8, 16, 'bits', 'the board tells its own, see `bathkeeper rig --list`')
    .refine(Number.isInteger, { error: 'expected whole bits; most boards have 10 or 12' })
    .default(USUAL_CONVERTER.adcBits),
  /** Voltage at which the converter is at its highest code. */
  referenceVolts: figure(0.5, 6, 'V', 'measure it at the pin AREF, or take the supply of the board').default(
    USUAL_CONVERTER.referenceVolts,
  ),
  /** Largest error either way while uncalibrated, of part and circuit together, degrees C. */
  errorC: figure(0.1, 10, 'K', 'add up what the parts allow; 2 to 4 with resistors of 1 %')
    .nullable()
    .default(null),
} as const;

/** An amplifier between sensor and pin: volts at the pin = gain x volts at the sensor + offset. */
const amplifier = {
  gain: figure(1, 5000, '', 'work it out from the resistors of the amplifier'),
  offsetVolts: figure(-50, 6, 'V', 'what the amplifier adds at its output; 0 without').default(0),
  /** What the amplifier's output can reach; null: 0 to the reference. */
  outputVolts: part({
    low: figure(0, 6, 'V', 'the lowest output of the amplifier by its data sheet'),
    high: figure(0, 6, 'V', 'the highest output of the amplifier at its supply, by its data sheet'),
  })
    .nullable()
    .default(null),
} as const;

const ntcSchema = part({
  kind: z.literal('ntc'),
  ...common,
  curve: curveSchema,
  seriesOhms: ohmsOf('the fixed resistor of the divider'),
  thermistorTo: choice(['ground', 'supply'], 'the side of the divider on which the thermistor sits'),
});

const pt100Schema = part({
  kind: z.literal('pt100'),
  ...common,
  ...amplifier,
  supplyVolts: figure(0.1, 30, 'V', 'the voltage across reference resistor and thermometer in series'),
  seriesOhms: ohmsOf('the reference resistor'),
  /** 100 for a Pt100, 1000 for a Pt1000. */
  ohmsAt0: figure(10, 10_000, 'ohm', '100 for a Pt100, 1000 for a Pt1000').default(100),
  /** Both leads together, where the thermometer has two wires. */
  leadOhms: figure(0, 20, 'ohm', 'join the far ends and measure; 0 with four wires').default(0),
});

const junctionSchema = z.unknown().transform((raw, context) => {
  const has = (key: string) => typeof raw === 'object' && raw !== null && key in raw;
  const form = has('probe')
    ? part({ probe: probeNameSchema })
    : part({
        celsius: figure(-30, 60, 'degrees C', 'the temperature of the terminals, held there by something'),
      });
  if (!has('probe') && !has('celsius')) {
    const message = `${shown(raw)}: expected {probe: NAME}, a probe beside the terminals, or {celsius: NUMBER} where they are held at one temperature`;
    context.addIssue({ code: 'custom', message });
    return z.NEVER;
  }
  const parsed = form.safeParse(raw);
  if (parsed.success) return parsed.data as { probe: string } | { celsius: number };
  for (const { path, message } of parsed.error.issues) {
    context.addIssue({ code: 'custom', path: [...path], message });
  }
  return z.NEVER;
});

const thermocouple = <const K extends 'typeK' | 'typeT'>(kind: K) =>
  part({ kind: z.literal(kind), ...common, ...amplifier, coldJunction: junctionSchema });

/** One analogue probe: its pin, its kind, the figures of its circuit, its role. */
export const analogueProbeSchema = z.discriminatedUnion(
  'kind',
  [ntcSchema, pt100Schema, thermocouple('typeK'), thermocouple('typeT')],
  {
    error: ({ input }) =>
      `kind ${shown((input as { kind?: unknown } | null)?.kind)}: expected ntc, pt100, typeK or typeT; say what hangs on the pin`,
  },
);
export type AnalogueProbe = z.infer<typeof analogueProbeSchema>;
export type NtcProbe = Extract<AnalogueProbe, { kind: 'ntc' }>;
export type Pt100Probe = Extract<AnalogueProbe, { kind: 'pt100' }>;
export type ThermocoupleProbe = Extract<AnalogueProbe, { kind: 'typeK' | 'typeT' }>;

/** All analogue probes of a rig. What they must not have in common is judged by `analogueClashes`. */
export const analogueSchema = z.array(analogueProbeSchema).max(8);

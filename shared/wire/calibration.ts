import { z } from 'zod';
import { probeNameSchema } from './analogue.ts';

const celsius = z.number().min(-60).max(130);

/** What the probe said at a point, once it had settled: the mean of so many readings and how far they lay apart. */
const readPart = {
  readC: celsius,
  readings: z.number().int().min(1).max(3600),
  spreadC: z.number().min(0).max(5),
};

/** Melting ice, crushed and wetted: 0 degrees C by definition of the ice point, as well as a kitchen makes it. */
const icePointSchema = z.strictObject({
  kind: z.literal('ice'),
  ...readPart,
  /** How far the slush may be from 0, either way. */
  limitC: z.number().min(0.01).max(1).default(0.1),
});

/** Beside a reference thermometer in stirred water. */
const referencePointSchema = z.strictObject({
  kind: z.literal('reference'),
  ...readPart,
  referenceC: celsius,
  /** Largest error of the reference by its certificate or data sheet, either way. */
  limitC: z.number().min(0.001).max(5),
  /** Which one it was, for the record. */
  instrument: z.string().trim().min(1).max(80),
});

/** In boiling water: a check of plausibility only, outside the sensor's best range. */
const boilingPointSchema = z.strictObject({
  kind: z.literal('boiling'),
  ...readPart,
  place: z.union([
    z.strictObject({ pressureKPa: z.number().min(50).max(110) }),
    z.strictObject({ altitudeM: z.number().min(-430).max(5500) }),
  ]),
});

export const calibrationPointSchema = z.discriminatedUnion('kind', [
  icePointSchema,
  referencePointSchema,
  boilingPointSchema,
]);
export type CalibrationPoint = z.infer<typeof calibrationPointSchema>;
export type ReferencePoint = z.infer<typeof referencePointSchema>;
export type IcePoint = z.infer<typeof icePointSchema>;
export type BoilingPoint = z.infer<typeof boilingPointSchema>;

/** true = read + offsetC + slopePerC (read - aboutC), degrees C. */
export const correctionSchema = z.strictObject({
  offsetC: z.number().min(-5).max(5),
  slopePerC: z.number().min(-0.1).max(0.1),
  aboutC: celsius,
});
export type Correction = z.infer<typeof correctionSchema>;

/** One probe's calibration: its evidence, and what was made of it. */
export const calibrationSchema = z.strictObject({
  /** ROM of a DS18B20, or the pin of an analogue probe such as A0. */
  rom: probeNameSchema,
  /** UTC, ISO 8601. */
  calibratedAt: z.iso.datetime(),
  by: z.string().trim().min(1).max(60),
  points: z.array(calibrationPointSchema).min(1).max(5),
  /** `check-only`: the points speak neither for nor against a correction at cooking temperature, so there is none. */
  method: z.enum(['offset', 'line', 'check-only']),
  correction: correctionSchema,
  /** What is left either way from 50 to 85 degrees C, until the next calibration. */
  uncertaintyC: z.number().min(0.05).max(10),
  /** `k=2`: expanded uncertainty, about 95 %; `limits`: by the data sheet and what was seen. */
  basis: z.enum(['k=2', 'limits']),
});
export type Calibration = z.infer<typeof calibrationSchema>;

/** All probes of a rig, at most one calibration each: the newest takes the place of the one before. */
export const calibrationsSchema = z
  .array(calibrationSchema)
  .max(16)
  .superRefine((list, context) => {
    const seen = new Set<string>();
    for (const { rom } of list) {
      if (seen.has(rom)) {
        context.addIssue({
          code: 'custom',
          message: `the probe ${rom} stands here twice: keep its newest calibration`,
        });
      }
      seen.add(rom);
    }
  });
export type Calibrations = z.infer<typeof calibrationsSchema>;

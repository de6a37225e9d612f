import { z } from 'zod';
import { outageChoiceSchema } from './command.ts';
import { lostLogSchema } from './tick.ts';

/** What may be done with a bag, with what comes of it. */
export const outageOptionSchema = z.object({
  choice: outageChoiceSchema,
  consequence: z.string(),
  /** What the rules in force ask for. */
  advised: z.boolean(),
});
export type OutageOption = z.infer<typeof outageOptionSchema>;

/** One bag after a power cut. */
export const outageBagSchema = z.object({
  bagId: z.string(),
  label: z.string(),
  cutName: z.string(),
  /** Core before and after by the model, degC: coldest, likely, hottest. */
  beforeC: z.tuple([z.number(), z.number(), z.number()]),
  afterC: z.tuple([z.number(), z.number(), z.number()]),
  /** Growth in the worst case that the power cut brought, and in all, log10. */
  grownLog10: z.number(),
  growthLog10: z.number(),
  /** What happened to it, in sentences; each says what is modelled. */
  happened: z.array(z.string()),
  /** What the rule in force says, and its name. */
  rule: z.string(),
  broken: z.boolean(),
  /** What later heat cannot mend; null where nothing is. */
  unmendable: z.string().nullable(),
  options: z.array(outageOptionSchema),
  decision: z
    .object({
      choice: outageChoiceSchema,
      name: z.string(),
      by: z.string(),
      atMs: z.number(),
      note: z.string(),
    })
    .nullable(),
  out: z.boolean(),
});
export type OutageBagView = z.infer<typeof outageBagSchema>;

/** A power cut as the page shows it, from the restart until every bag has been decided on. */
export const outageViewSchema = z.object({
  sinceMs: z.number(),
  restartMs: z.number(),
  /** While the water is mixed before it is measured: how much longer, s. Heat waits for it. Null once it is measured. */
  mixingS: z.number().nullable(),
  /** Seconds: what counts, the interval, by the clock, by the cooling. Null until measured. */
  length: z
    .object({
      countsS: z.number(),
      lowS: z.number(),
      highS: z.number(),
      clockS: z.number().nullable(),
      coolingS: z.object({ low: z.number(), middle: z.number(), high: z.number() }).nullable(),
      /** Clock and cooling say different things. */
      disagree: z.boolean(),
      words: z.string(),
    })
    .nullable(),
  water: z.object({ beforeC: z.number(), afterC: z.number().nullable() }),
  log: lostLogSchema.nullable(),
  bags: z.array(outageBagSchema),
});
export type OutageView = z.infer<typeof outageViewSchema>;

import { readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { z } from 'zod';
import { writeWhole } from './reach/store.ts';
import { RIG_LAYOUT, type RigRecord, rigRecord } from './tick/control/identify/record.ts';
import type { TickState } from './tick/state.ts';

/** What is known of the rig, beside the log it was learned in: a new log begins with it. */
export const RIG_FILE = 'rig.json';

const beliefSchema = (quantities: number) =>
  z
    .strictObject({
      mean: z.array(z.number()).length(quantities),
      cov: z.array(z.number()).length(quantities * quantities),
    })
    .refine(({ cov }) =>
      Array.from({ length: quantities }, (_, i) => cov[i * (quantities + 1)]!).every((v) => v >= 0),
    );

const recordSchema = z.strictObject({
  layout: z.literal(RIG_LAYOUT),
  described: z.strictObject({ litres: z.number().positive(), elementWatts: z.number().positive() }),
  identifiedAtMs: z.number().positive(),
  belief: beliefSchema(7),
  lid: z.strictObject({ mean: z.number(), sd: z.number().nonnegative() }),
  firstRate: z.number().positive().nullable(),
  pair: z.strictObject({ belief: beliefSchema(2), learned: z.number().int().nonnegative() }),
});

/** The rig on record; null where there is none, or none that can be read: then it is learned anew. */
export function loadRig(path: string): RigRecord | null {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch {
    return null;
  }
  try {
    return recordSchema.parse(JSON.parse(text)) as RigRecord;
  } catch {
    return null;
  }
}

/**
 * Gives a function that keeps the rig of a state, where it was identified anew since it was last kept. Losing the last
 * minute of it harms nobody: it is learned again.
 */
export function rigKeeper(path: string, log: (line: string) => void): (state: TickState) => Promise<void> {
  let keptMs = loadRig(path)?.identifiedAtMs ?? null;
  let told = false;
  let writing = false;
  return async ({ rig, watch, settings }) => {
    const record = rigRecord(rig, watch.pair, settings);
    if (writing || record === null || record.identifiedAtMs === keptMs) return;
    writing = true;
    try {
      await writeWhole(dirname(path), path, JSON.stringify(record));
      keptMs = record.identifiedAtMs;
      told = false;
    } catch (error) {
      if (!told) log(`What is known of the rig could not be kept: ${(error as Error).message}`);
      told = true;
    }
    writing = false;
  };
}

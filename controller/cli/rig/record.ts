import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { z } from 'zod';

/** What was checked, when, by whom, and what came of it. */
export const stepRecordSchema = z.strictObject({
  step: z.enum([
    'probe',
    'regulating',
    'guard',
    'level',
    'sounder',
    'silence',
    'killed',
    'unplugged',
    'cut-out',
    'alarm-path',
  ]),
  outcome: z.enum(['passed', 'failed', 'not-done']),
  seen: z.string().max(400),
});
export type StepRecord = z.infer<typeof stepRecordSchema>;

export const commissioningSchema = z.strictObject({
  at: z.iso.datetime(),
  by: z.string().min(1).max(60),
  rig: z.string().max(200),
  firmware: z.string().max(20),
  steps: z.array(stepRecordSchema).min(1).max(32),
});
export type Commissioning = z.infer<typeof commissioningSchema>;

/** All commissionings so far, oldest first. @throws Error where the file is not such a record */
export function readCommissionings(path: string): Commissioning[] {
  if (!existsSync(path)) return [];
  return z.array(commissioningSchema).parse(JSON.parse(readFileSync(path, 'utf8')));
}

/** Adds one to the record; what stands there is kept. */
export function addCommissioning(path: string, one: Commissioning): void {
  const text = `${JSON.stringify([...readCommissionings(path), one], null, 2)}\n`;
  writeFileSync(`${path}.new`, text);
  renameSync(`${path}.new`, path);
}

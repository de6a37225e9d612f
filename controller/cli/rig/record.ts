import { accessSync, constants, existsSync, readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { z } from 'zod';
import { issueLines } from '../../../shared/wire/config.ts';
import { writeDurably } from './write-config.ts';

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

/** All commissionings so far, oldest first. @throws Error in words where the file is not such a record */
export function readCommissionings(path: string): Commissioning[] {
  if (!existsSync(path)) return [];
  let why: string;
  try {
    const parsed = z.array(commissioningSchema).safeParse(JSON.parse(readFileSync(path, 'utf8')));
    if (parsed.success) return parsed.data;
    why = issueLines(parsed.error)[0] ?? 'it is not a list of commissionings';
  } catch (error) {
    why = (error as Error).message;
  }
  throw new Error(
    `The record of commissionings ${path} cannot be read: ${why}. Move it away to begin a new one, or mend it.`,
  );
}

/** Whether a commissioning could be kept there. Asked before the first step: an hour's work is not to end in nothing. @throws Error in words where not */
export function checkRecord(path: string): void {
  readCommissionings(path);
  const folder = dirname(path);
  try {
    accessSync(folder, constants.W_OK);
  } catch (error) {
    throw new Error(
      `The record of commissionings cannot be written to ${folder}: ${(error as Error).message}. Set rig.commissioningFile, or ask as a user who may write there.`,
    );
  }
}

/** Adds one to the record; what stands there is kept. */
export function addCommissioning(path: string, one: Commissioning): void {
  writeDurably(path, `${JSON.stringify([...readCommissionings(path), one], null, 2)}\n`);
}

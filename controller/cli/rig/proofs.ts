import type { Commissioning, StepRecord } from './record.ts';
import { changePart } from './write-config.ts';

/** Steps whose passing leaving a cook alone rests on, and where its date stands in the configuration. */
const PROOFS: Partial<Record<StepRecord['step'], { readonly field: string; readonly what: string }>> = {
  'cut-out': { field: 'cutOutProvenOn', what: 'the independent cut-out' },
  'alarm-path': { field: 'alarmPathProvenOn', what: 'the alarm path without mains' },
};

/**
 * Keeps in the configuration when cut-out and alarm path were proven; what failed counts as unproven from now on, what was
 * not tried stays as it was. Gives what was written, in words.
 */
export function keepProofs(configPath: string, { at, steps }: Commissioning): string[] {
  const day = at.slice(0, 10);
  return steps.flatMap(({ step, outcome }) => {
    const proof = PROOFS[step];
    if (!proof || outcome === 'not-done') return [];
    const date = outcome === 'passed' ? day : null;
    const faults = changePart(configPath, 'safety', (safety) => ({ ...safety, [proof.field]: date }));
    if (faults.length > 0) return [`Not noted in ${configPath}: ${faults.join(' ')}`];
    const words = date === null ? `${proof.what} counts as unproven` : `${proof.what} was proven on ${date}`;
    return [`Noted in ${configPath}: ${words}.`];
  });
}

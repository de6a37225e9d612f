import { type FaultResult, runFault } from './fault-run.ts';
import { type HealthyResult, runHealthy } from './healthy.ts';
import { kindOf } from './kinds.ts';

/** One run of the campaign: plain data, so that it can cross to a worker. */
export type Job =
  | { readonly kind: string; readonly seed: number }
  | { readonly kind: null; readonly seed: number };

export type JobResult =
  | { readonly fault: FaultResult; readonly healthy: null; readonly failed: null }
  | { readonly fault: null; readonly healthy: HealthyResult; readonly failed: null }
  | { readonly fault: null; readonly healthy: null; readonly failed: string };

/** Runs one; an error of the run itself becomes words, since it must fail the campaign and not end it. */
export function runJob(job: Job): JobResult {
  try {
    return job.kind === null
      ? { fault: null, healthy: runHealthy(job.seed), failed: null }
      : { fault: runFault(kindOf(job.kind), job.seed), healthy: null, failed: null };
  } catch (error) {
    const what = job.kind ?? 'sound cook';
    return { fault: null, healthy: null, failed: `${what}, seed ${job.seed}: ${(error as Error).message}` };
  }
}

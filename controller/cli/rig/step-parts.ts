import { type RigBench, within } from './bench.ts';
import type { StepRecord } from './record.ts';

/** What only a person can say; each also comes by a flag. */
export interface Person {
  /** Asks to do something and waits until it is done. */
  please(text: string): Promise<void>;
  /** Null: not answered, so the step was not done. */
  saw(flag: 'heard' | 'went-off' | 'called', question: string): Promise<boolean | null>;
  /** At what temperature the independent cut-out opened, degrees C; null where it was not tried. */
  cutOutC(): Promise<number | null>;
}

export interface StepParts {
  readonly bench: RigBench;
  readonly person: Person;
  readonly bathRom: string;
}

export type Step = (parts: StepParts) => Promise<StepRecord>;

const LEASE_MS = 1600;
/** Design: nothing beyond the board can heat for longer. */
export const MOST_OPEN_MS = 2000;

/** What came of a step; null: it was not done. */
export const record = (step: StepRecord['step'], passed: boolean | null, seen: string): StepRecord => ({
  step,
  outcome: passed === null ? 'not-done' : passed ? 'passed' : 'failed',
  seen,
});

/** Sends one lease on a fresh status; the switches are asked for alone or together. */
export async function lease(
  bench: RigBench,
  regulating: boolean,
  guard: boolean,
  tag: number,
): Promise<void> {
  const fresh = await within(bench, 3000, (view) => {
    return view.phase === 'ready' && view.status !== null && bench.nowMs() - view.status.arrivedMs < 400;
  });
  const status = bench.view()?.status;
  if (!fresh || !status) return;
  bench.port.send({ kind: 'lease', tag, nonce: status.nonce, ms: LEASE_MS, regulating, guard });
}

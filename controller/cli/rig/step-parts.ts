import { refusalWords } from '../../rig/usb/board-words.ts';
import type { StatusView } from '../../rig/usb/view.ts';
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
const MOST_WAIT_MS = 4000;

/** Why the board refused the last lease, to follow other words; empty where it did not. */
export function refusal(bench: RigBench): string {
  const answer = bench.view()?.answer;
  if (answer?.kind !== 'lease' || answer.code === 0) return '';
  return `; the board answered: ${refusalWords(answer.code, answer.detail)}`;
}

/** As many characters as the record takes. */
const MOST_WORDS = 400;

/** What came of a step; null: it was not done. */
export const record = (step: StepRecord['step'], passed: boolean | null, seen: string): StepRecord => ({
  step,
  outcome: passed === null ? 'not-done' : passed ? 'passed' : 'failed',
  seen: seen.slice(0, MOST_WORDS),
});

/** Whether a status says that heat flows: every switch that is fitted is closed, as measured at its pin. */
export const heats = (status: StatusView): boolean =>
  status.regulatingClosed && (status.guardClosed || !status.guardFitted);

/** Whether a status says that both switches are open. A status that is missing says nothing: the caller must have one. */
export const isOpen = (status: StatusView): boolean => !status.regulatingClosed && !status.guardClosed;

/** A lease that was sent: when, by the bench's clock, and the status that it answered. */
export interface SentLease {
  readonly sentMs: number;
  readonly status: StatusView;
}

/**
 * Sends one lease on a fresh status; the switches are asked for alone or together, the guard only where one is fitted.
 * @returns null where no fresh status came, so that nothing was asked for
 */
export async function lease(
  bench: RigBench,
  regulating: boolean,
  guard: boolean,
  tag: number,
): Promise<SentLease | null> {
  const fresh = await within(bench, 3000, (view) => {
    return view.phase === 'ready' && view.status !== null && bench.nowMs() - view.status.arrivedMs < 400;
  });
  const status = bench.view()?.status;
  if (!fresh || !status) return null;
  const asked = { regulating, guard: guard && status.guardFitted };
  bench.port.send({ kind: 'lease', tag, nonce: status.nonce, ms: LEASE_MS, ...asked });
  return { sentMs: bench.nowMs(), status };
}

/**
 * Waits until a lease that is not renewed has run out.
 * @returns by the board's own clock, ms from the issue of the status that the lease answered until both switches are seen
 *   open; null where they were not, or where the board was reset meanwhile, which opens them whatever the lease
 */
export async function runsOut(
  bench: RigBench,
  { sentMs, status: before }: SentLease,
): Promise<number | null> {
  let openedMs: number | null = null;
  await within(bench, MOST_WAIT_MS, ({ status }) => {
    if (status === null || status.arrivedMs <= sentMs || !isOpen(status)) return false;
    openedMs = status.bootCount === before.bootCount ? status.uptimeMs - before.uptimeMs : null;
    return true;
  });
  return openedMs;
}

import { ANSWER_CODES } from '../../../shared/wire/board-codes.ts';
import { refusalWords } from '../../rig/usb/board-words.ts';
import type { AnswerView } from '../../rig/usb/view.ts';
import { type RigBench, within } from './bench.ts';

/** Right after its limits were set a board still waits for a fresh reading, and says so. */
const SETTLES_MS = 5000;
const FRESH_MS = 400;
const ANSWER_MS = 1500;
const FIRST_TAG = 40;
/** Refusals that may be gone in a second: a status that was too old, a reading that is still to come. */
const PASSING = new Set(['nonceUnknown', 'nonceStale', 'nonceSpent', 'condition']);

/**
 * Asks the board to clear its cut, again for some seconds while it refuses for what may pass.
 * @returns null once cleared, else why not, in words
 */
export async function clearCause(bench: RigBench, cause: number): Promise<string | null> {
  let last: AnswerView | null = null;
  let tag = FIRST_TAG;
  for (const endMs = bench.nowMs() + SETTLES_MS; bench.nowMs() < endMs; tag++) {
    const fresh = await within(bench, ANSWER_MS, ({ phase, status }) => {
      return phase === 'ready' && status !== null && bench.nowMs() - status.arrivedMs < FRESH_MS;
    });
    const status = bench.view()?.status;
    if (!fresh || !status) continue;
    if (status.latchedCause === 0) return null;
    bench.port.send({ kind: 'clear', tag, cause, nonce: status.nonce });
    const asked = tag;
    await within(bench, ANSWER_MS, ({ answer }) => answer?.kind === 'clear' && answer.tag === asked);
    const answer = bench.view()?.answer ?? null;
    if (answer?.kind !== 'clear' || answer.tag !== asked) continue;
    if (answer.code === 0) return null;
    last = answer;
    if (!PASSING.has(ANSWER_CODES[answer.code]?.name ?? '')) break;
    await bench.pass(500);
  }
  return last === null ? 'the board did not answer' : refusalWords(last.code, last.detail);
}

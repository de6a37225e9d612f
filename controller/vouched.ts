import type { Doubt } from './journal/reach.ts';
import type { JournalReader, Resume } from './journal/reader.ts';
import { type TailBreak, verifyTail } from './journal/verify.ts';

/** What a restart may go on from. */
export interface Vouched {
  readonly found: Resume;
  /** The last tick that the chain vouches for; infinite where it vouches for all. */
  readonly soundThrough: number;
  /** Places where rows that would be gone on from are not what was recorded, the earliest first. */
  readonly changed: readonly TailBreak[];
}

/** A whole state is sealed by a tick after it, no further on than the ticks of one commit. */
const SEALED_WITHIN = 200;

/**
 * Holds what a restart would go on from against the chain. A whole state that is not what was recorded, or that no tick
 * has sealed yet, is passed over for the one before it: it is made again from the inputs. From the first input on that the
 * chain does not vouch for, nothing is vouched for. `usable` says whether a state is of a form that this version reads;
 * where it is not, the running cook is held against the chain from its first tick. A log whose mark is of another one is
 * vouched for by nothing: its chain may have been made anew over rows that were changed.
 */
export async function vouchedResume(
  reader: JournalReader,
  usable: (stateJson: string) => boolean,
  doubt: Doubt | null,
): Promise<Vouched> {
  const newest = await reader.resume();
  let found = newest;
  let passedOver: readonly TailBreak[] = [];
  for (;;) {
    const { snapshot } = found;
    const changed = await verifyTail(reader, await beginningOf(reader, found, usable));
    const itself = snapshot ? changed.filter((one) => speaksAgainst(one, snapshot.sequence)) : [];
    const unsealed = snapshot !== null && !snapshot.sealed;
    const earlier = itself.length > 0 || unsealed ? await reader.resume((snapshot?.sequence ?? 0) - 1) : null;
    // Where no earlier one is left, one that nothing speaks against is better than none.
    if (earlier === null || (itself.length === 0 && earlier.snapshot === null)) {
      const bad = changed.find(({ kind }) => kind !== 'snapshot' && kind !== 'run');
      const through = bad ? bad.sequence - 1 : Number.POSITIVE_INFINITY;
      const soundThrough = doubt === 'other-log' ? 0 : through;
      const told = changed.length > 0 ? changed : passedOver;
      return { found, soundThrough, changed: told };
    }
    passedOver = itself;
    found = earlier;
  }
}

async function beginningOf(
  reader: JournalReader,
  { snapshot, runningCook }: Resume,
  usable: (stateJson: string) => boolean,
): Promise<number> {
  if (snapshot === null) return 0;
  if (usable(snapshot.stateJson) || runningCook === null) return snapshot.sequence;
  return Math.min(snapshot.sequence, (await reader.chainRange(runningCook.cookId)).first - 1);
}

function speaksAgainst({ kind, row, sequence }: TailBreak, kept: number): boolean {
  if (kind === 'snapshot') return row === `the state kept after tick ${kept}`;
  return kind === null && sequence > kept && sequence <= kept + SEALED_WITHIN;
}

/** Wrong codes one address may give before it must wait. */
export const GUESSES_PER_ADDRESS = 5;
/** Wrong codes from everywhere together before the code is renewed and everybody must wait. */
export const GUESSES_IN_ALL = 10;
/** The first wait; each further one is twice as long, up to the longest. */
export const FIRST_WAIT_MS = 60_000;
export const LONGEST_WAIT_MS = 3_600_000;
/** After this long without a wrong code the waits begin from the first again. */
export const FORGET_MS = 86_400_000;
const ADDRESSES = 256;

interface Wait {
  wrong: number;
  waits: number;
  untilMs: number;
  lastWrongMs: number;
}

/**
 * Counts wrong codes for each address and in all. The count in all is what bounds a guesser with
 * many addresses; the count for each address spares the others while there is only one.
 */
export class GuessCounter {
  readonly #all: Wait = fresh();
  readonly #addresses = new Map<string, Wait>();

  /** Whole seconds this address must still wait; 0 when it may try. */
  waitS(address: string, nowMs: number): number {
    const own = this.#addresses.get(address)?.untilMs ?? 0;
    return Math.max(0, Math.ceil((Math.max(own, this.#all.untilMs) - nowMs) / 1000));
  }

  /** Notes a wrong code; true when the count in all is full and the code must be renewed. */
  wrong(address: string, nowMs: number): boolean {
    const own = this.#addresses.get(address) ?? fresh();
    this.#addresses.delete(address);
    this.#addresses.set(address, own);
    if (this.#addresses.size > ADDRESSES) {
      const oldest = this.#addresses.keys().next().value;
      if (oldest !== undefined) this.#addresses.delete(oldest);
    }
    count(own, GUESSES_PER_ADDRESS, nowMs);
    return count(this.#all, GUESSES_IN_ALL, nowMs);
  }

  /** Somebody read the code from the controller: the guessing so far is forgiven. */
  right(address: string): void {
    this.#addresses.delete(address);
    Object.assign(this.#all, fresh());
  }
}

function fresh(): Wait {
  return { wrong: 0, waits: 0, untilMs: 0, lastWrongMs: 0 };
}

function count(wait: Wait, limit: number, nowMs: number): boolean {
  if (nowMs - wait.lastWrongMs > FORGET_MS) Object.assign(wait, fresh());
  wait.lastWrongMs = nowMs;
  wait.wrong += 1;
  if (wait.wrong < limit) return false;
  wait.wrong = 0;
  wait.untilMs = nowMs + Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** wait.waits);
  wait.waits += 1;
  return true;
}

/** What can be run against a clock: a board, or a board in its bath. */
export interface Advancing {
  readonly nowMs: number;
  advanceTo(ms: number): void;
}

/** A clock and its timer, injected: `performance.now` and `setInterval` for people, fakes for tests. */
export interface HostClock {
  /** Monotonic time, ms. */
  nowMs(): number;
  /** Calls back again and again; returns how to stop. */
  every(ms: number, callback: () => void): () => void;
}

/** How far it fell behind, and how to stop it. */
export interface Pace {
  /** Time that was left out because the host slept or was too slow, ms. */
  readonly leftOutMs: number;
  stop(): void;
}

/** Real time of this process. */
export const processClock: HostClock = {
  nowMs: () => performance.now(),
  every(ms, callback) {
    const timer = setInterval(callback, ms);
    return () => clearInterval(timer);
  },
};

/**
 * Runs a board in step with a clock until stopped. A host that slept does not make the board race: what it is
 * behind by more than `mostBehindMs` is left out, and counted.
 */
export function runInRealTime(
  board: Advancing,
  clock: HostClock = processClock,
  stepMs = 5,
  mostBehindMs = 500,
): Pace {
  let offsetMs = board.nowMs - clock.nowMs();
  let leftOutMs = 0;
  const stop = clock.every(stepMs, () => {
    const behindMs = clock.nowMs() + offsetMs - board.nowMs;
    if (behindMs > mostBehindMs) {
      leftOutMs += behindMs - stepMs;
      offsetMs -= behindMs - stepMs;
    }
    board.advanceTo(clock.nowMs() + offsetMs);
  });
  return {
    get leftOutMs() {
      return leftOutMs;
    },
    stop,
  };
}

/**
 * Runs a board as fast as it goes until a moment of its own clock, in steps between which the process may do other
 * things (deliver stream data, say): after each step `between` is awaited, by default a turn of the event loop.
 */
export async function runFree(
  board: Advancing,
  untilMs: number,
  stepMs = 10,
  between: () => Promise<void> = turnOfTheLoop,
): Promise<void> {
  while (board.nowMs < untilMs) {
    const beforeMs = board.nowMs;
    board.advanceTo(Math.min(untilMs, beforeMs + stepMs));
    await between();
    // What is left is less than a cycle of its clock: there is nothing nearer to reach.
    if (board.nowMs === beforeMs) return;
  }
}

const turnOfTheLoop = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

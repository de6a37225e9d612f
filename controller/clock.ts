/** The two clocks: monotonic for control and safety, wall for people. Injected everywhere. */
export interface Clock {
  monotonicMs(): number;
  wallMs(): number;
  /** False once the wall clock has stepped against the monotonic one, or is plainly not set. */
  wallTrusted(): boolean;
}

/** A wall clock before this is a computer that woke up without a clock chip: before the project was made. */
const EARLIEST_MS = Date.UTC(2026, 0, 1);
/** A difference that ordinary slewing never reaches within a run. */
const STEP_MS = 2000;

/** The machine's own clocks. */
export function systemClock(): Clock {
  let offset = Date.now() - performance.now();
  let stepped = false;
  return {
    monotonicMs: () => performance.now(),
    wallMs: () => Date.now(),
    wallTrusted() {
      const now = Date.now() - performance.now();
      if (Math.abs(now - offset) > STEP_MS) stepped = true;
      offset = now;
      return !stepped && Date.now() > EARLIEST_MS;
    },
  };
}

/** Demo time, moved on by the loop: one second a tick, however fast the ticks come. */
export interface DemoClock extends Clock {
  move(ms: number): void;
}

/** A clock that starts at `wallMs` and moves only when told. */
export function demoClock(wallMs: number): DemoClock {
  let elapsed = 0;
  return {
    monotonicMs: () => elapsed,
    wallMs: () => wallMs + elapsed,
    wallTrusted: () => true,
    move(ms) {
      elapsed += ms;
    },
  };
}

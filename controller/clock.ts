import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';

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

/**
 * The machine's own clocks. `clockIsSet` says whether the wall clock was right to begin with: asked until it says yes,
 * at most every ten minutes, for a small computer without a clock chip learns the time from the network some time after it
 * has started.
 */
export function systemClock(clockIsSet: () => boolean = wallClockIsSet): Clock {
  let offset = Date.now() - performance.now();
  let stepped = false;
  let set = false;
  let askedMs = Number.NEGATIVE_INFINITY;
  const isSet = (): boolean => {
    if (!set && performance.now() - askedMs > ASK_MS) {
      askedMs = performance.now();
      set = clockIsSet();
      // Setting it moved it: that one step is no fault.
      if (set) offset = Date.now() - performance.now();
    }
    return set;
  };
  return {
    monotonicMs: () => performance.now(),
    wallMs: () => Date.now(),
    wallTrusted() {
      if (!isSet()) return false;
      const now = Date.now() - performance.now();
      if (Math.abs(now - offset) > STEP_MS) stepped = true;
      offset = now;
      return !stepped && Date.now() > EARLIEST_MS;
    },
  };
}

const ASK_MS = 600_000;

/**
 * Whether the wall clock can be believed: a clock chip keeps it through a power cut, or the service manager says that
 * it was set from the network (systemd-timesyncd(8): the file; timedatectl(1): NTPSynchronized). Other systems than
 * Linux run on machines with a clock chip.
 */
export function wallClockIsSet(): boolean {
  if (process.platform !== 'linux') return true;
  if (existsSync('/sys/class/rtc/rtc0') || existsSync('/run/systemd/timesync/synchronized')) return true;
  try {
    const args = ['show', '--property=NTPSynchronized', '--value'];
    return execFileSync('timedatectl', args, { timeout: 300, stdio: ['ignore', 'pipe', 'ignore'] })
      .toString()
      .startsWith('yes');
  } catch {
    return false;
  }
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

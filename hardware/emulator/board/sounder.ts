import { CLOCK_HZ, CYCLES_PER_MS } from '../avr/internals.ts';

/** One beep heard. */
export interface Beep {
  startMs: number;
  endMs: number;
  /** Pitch, Hz; 0 when the pin was simply held high (a sounder with its own oscillator). */
  hz: number;
}

/** State of the sounder in a snapshot. */
export interface SounderState {
  high: boolean;
  beeps: Beep[];
  now: { startCycles: number; lastCycles: number; rises: number } | null;
}

// Longer than half a period of the lowest tone worth hearing (20 Hz), shorter than any pause between beeps.
const GAP_CYCLES = 25 * CYCLES_PER_MS;
const MOST_BEEPS = 1000;

/** Listens to the sounder pin: turns its edges into beeps with a pitch. Keeps the last 1,000 of them. */
export class Sounder {
  state: SounderState = { high: false, beeps: [], now: null };

  /** The pin's level; only changes matter. */
  level(high: boolean, atCycles: number): void {
    if (high === this.state.high) return;
    this.#settle(atCycles);
    this.state.high = high;
    this.state.now ??= { startCycles: atCycles, lastCycles: atCycles, rises: 0 };
    this.state.now.lastCycles = atCycles;
    if (high) this.state.now.rises += 1;
  }

  /** Whether it sounds now. */
  sounding(nowCycles: number): boolean {
    this.#settle(nowCycles);
    return this.state.now !== null;
  }

  /** Beeps that have ended, oldest first. */
  beeps(nowCycles: number): readonly Beep[] {
    this.#settle(nowCycles);
    return this.state.beeps;
  }

  #settle(nowCycles: number): void {
    const { now, high } = this.state;
    if (now === null || high || nowCycles - now.lastCycles < GAP_CYCLES) return;
    const seconds = (now.lastCycles - now.startCycles) / CLOCK_HZ;
    const hz = now.rises > 1 ? Math.round(now.rises / seconds) : 0;
    this.state.beeps.push({
      startMs: now.startCycles / CYCLES_PER_MS,
      endMs: now.lastCycles / CYCLES_PER_MS,
      hz,
    });
    if (this.state.beeps.length > MOST_BEEPS) this.state.beeps.shift();
    this.state.now = null;
  }
}

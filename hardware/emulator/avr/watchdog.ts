import type { CPU } from 'avr8js';
import type { Events } from './events.ts';
import { CLOCK_HZ } from './internals.ts';

// Registers and bits: ATmega328P datasheet DS40002061, chapter "System Control and Reset".
const MCUSR = 0x54;
const WDTCSR = 0x60;
const WDIF = 0x80;
const WDIE = 0x40;
const WDCE = 0x10;
const WDE = 0x08;
const PRESCALER = 0x27;
const WDRF = 0x08;

/** State of the watchdog in a snapshot; its register is in the processor's memory. */
export interface WatchdogState {
  changeUntilCycles: number;
  countedFromCycles: number;
}

/** How the watchdog of one board differs from the next one's. */
export interface WatchdogOptions {
  /** Its own oscillator, Hz; 128 kHz typical. */
  oscillatorHz: number;
  /** Fuse WDTON programmed: always on, reset only. */
  alwaysOn: boolean;
}

/**
 * The watchdog timer. It counts an oscillator of its own, so it goes on when the processor hangs or its crystal
 * stops. avr8js's own is not used: its reset leaves the registers and it cannot be put in a snapshot.
 */
export class Watchdog {
  readonly #cpu: CPU;
  readonly #events: Events;
  readonly #options: WatchdogOptions;
  readonly #onReset: () => void;
  #state: WatchdogState = { changeUntilCycles: -1, countedFromCycles: 0 };
  readonly timeOut = {
    address: 0x0c,
    flagRegister: WDTCSR,
    flagMask: WDIF,
    enableRegister: WDTCSR,
    enableMask: WDIE,
  };

  constructor(cpu: CPU, events: Events, options: WatchdogOptions, onReset: () => void) {
    this.#cpu = cpu;
    this.#events = events;
    this.#options = options;
    this.#onReset = onReset;
    events.name('watchdog', () => this.#timedOut());
    cpu.onWatchdogReset = () => this.#restartCount();
    cpu.writeHooks[WDTCSR] = (value) => {
      this.#write(value);
      return true;
    };
  }

  /** The processor leaves reset: after a watchdog reset it is on at its shortest, about 16 ms. */
  start(): void {
    this.#cpu.data[WDTCSR] = this.#forced();
    this.#restartCount();
  }

  /** State beside the register, for a snapshot. */
  snapshot(): WatchdogState {
    return { ...this.#state };
  }

  /** Puts back a snapshot's state. */
  restore(state: WatchdogState): void {
    this.#state = { ...state };
  }

  /** Bits no program can clear: reset mode while WDRF stands in MCUSR, or by fuse. */
  #forced(): number {
    return this.#options.alwaysOn || this.#cpu.data[MCUSR]! & WDRF ? WDE : 0;
  }

  #write(value: number): void {
    const { data, cycles } = this.#cpu;
    const old = data[WDTCSR]!;
    // Software may always set WDE and clear nothing else without the timed sequence of WDCE.
    const unlocked = cycles <= this.#state.changeUntilCycles;
    const protectedBits = unlocked ? value & (WDE | PRESCALER) : (old & PRESCALER) | ((old | value) & WDE);
    const flag = value & WDIF ? 0 : old & WDIF;
    const interruptOn = this.#options.alwaysOn ? 0 : value & WDIE;
    data[WDTCSR] = flag | interruptOn | protectedBits | this.#forced();
    if (value & WDCE && value & WDE) this.#state.changeUntilCycles = cycles + 4;
    this.#cpu.updateInterruptEnable(this.timeOut, data[WDTCSR]!);
    // A write does not restart the count, only the wdr instruction does; switching on starts it.
    if (old & (WDE | WDIE)) this.#schedule();
    else this.#restartCount();
  }

  #restartCount(): void {
    this.#state.countedFromCycles = this.#cpu.cycles;
    this.#schedule();
  }

  #schedule(): void {
    const control = this.#cpu.data[WDTCSR]!;
    if (!(control & (WDE | WDIE))) {
      this.#events.cancel('watchdog');
      return;
    }
    const stage = ((control & 0x20) >> 2) | (control & 0x07);
    const ticks = 2048 * 2 ** Math.min(stage, 9);
    const cycles = Math.round((ticks * CLOCK_HZ) / this.#options.oscillatorHz);
    this.#events.at('watchdog', this.#state.countedFromCycles + cycles);
  }

  #timedOut(): void {
    const control = this.#cpu.data[WDTCSR]!;
    if (control & WDIE) {
      this.#cpu.setInterruptFlag(this.timeOut);
      // With both set the first time-out interrupts and the second resets.
      if (control & WDE) this.#cpu.data[WDTCSR]! &= ~WDIE;
    } else if (control & WDE) {
      this.#onReset();
      return;
    }
    this.#restartCount();
  }
}

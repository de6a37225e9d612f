import type { PinState } from 'avr8js';
import { Core, MCUSR, type PortLetter, SRAM_START, type Surroundings, type Wiring } from './core.ts';
import { EepromCells, type EepromStore } from './eeprom.ts';
import type { Image } from './hex.ts';
import { CYCLES_PER_MS } from './internals.ts';
import { passTime, runCode, runStuck, type StuckAt } from './run.ts';

/** Reset flags in MCUSR: ATmega328P datasheet, "MCU Status Register". */
export const RESET_FLAG = { powerOn: 0x01, external: 0x02, brownOut: 0x04, watchdog: 0x08 } as const;
/** What can reset the chip. */
export type ResetCause = keyof typeof RESET_FLAG;

/**
 * Ways a processor stops doing its work:
 * `core` executes nothing while timers and ports go on (a loop with interrupts off);
 * `loop` serves interrupts but its main loop hangs;
 * `clock` has lost its crystal, so only the watchdog's own oscillator counts.
 */
export type FreezeKind = 'core' | 'loop' | 'clock';

/** What the chip is made with. */
export interface ChipOptions {
  image: Image;
  wiring: Wiring;
  eeprom?: EepromStore | undefined;
  /** Watchdog oscillator, Hz. Default 128000 (datasheet, typical). */
  watchdogHz?: number | undefined;
  /** Fuse WDTON programmed. Default false. */
  watchdogAlwaysOn?: boolean | undefined;
  /** Time from the end of a reset to the first instruction, ms. Default 65 (fuses SUT 11, 14 CK + 65 ms). */
  startUpMs?: number | undefined;
}

/** State of the chip beside its core, for a snapshot. */
export interface ChipState {
  powered: boolean;
  heldUntilCycles: number;
  running: boolean;
  frozen: FreezeKind | null;
  stuckAt: StuckAt | null;
  inputs: Record<PortLetter, number>;
  resets: Record<ResetCause, number>;
}

/** The ATmega328P through all its lives: power, the four resets, start-up time, freezes, and the flow of cycles. */
export class Chip {
  core: Core;
  readonly cells: EepromCells;
  state: ChipState;
  readonly #around: Surroundings;
  readonly #startUpCycles: number;

  /** A chip without power; `powerOn` starts it. */
  constructor(options: ChipOptions) {
    this.cells = new EepromCells(options.eeprom);
    this.#startUpCycles = Math.round((options.startUpMs ?? 65) * CYCLES_PER_MS);
    this.#around = {
      ...options.wiring,
      words: options.image.words,
      cells: this.cells,
      watchdog: {
        oscillatorHz: options.watchdogHz ?? 128_000,
        alwaysOn: options.watchdogAlwaysOn ?? false,
      },
    };
    this.core = new Core(this.#around, 0);
    this.state = {
      powered: false,
      heldUntilCycles: 0,
      running: false,
      frozen: null,
      stuckAt: null,
      inputs: { B: 0, C: 0, D: 0 },
      resets: { powerOn: 0, external: 0, brownOut: 0, watchdog: 0 },
    };
  }

  /** Cycles of 1/16 us since the emulator began; they also pass without power. */
  get cycles(): number {
    return this.core.cpu.cycles;
  }

  /** What a pin does: drives high or low, or listens. Without power, in reset or start-up it listens. */
  pin(port: PortLetter, bit: number): PinState {
    return this.core.ports[port].pinState(bit);
  }

  /** Level the world outside puts on a pin; it is seen while the pin listens. */
  setInput(port: PortLetter, bit: number, high: boolean): void {
    const mask = 1 << bit;
    this.state.inputs[port] = high ? this.state.inputs[port] | mask : this.state.inputs[port] & ~mask;
    this.core.ports[port].setPin(bit, high);
  }

  /** Power comes. What SRAM holds then is noise, the same for the same cycle. No effect if it is there already. */
  powerOn(): void {
    if (this.state.powered) return;
    this.state.powered = true;
    this.#rebuild();
    this.#fillWithNoise();
    this.#beginReset('powerOn', this.#startUpCycles);
  }

  /** Power goes: pins let go at once, a byte on its way into EEPROM is torn. */
  powerOff(): void {
    if (!this.state.powered) return;
    this.core.eeprom.tear();
    this.#rebuild();
    this.state.powered = false;
  }

  /** Resets the chip; it stays in reset for `heldMs` and then starts up. Ignored without power. */
  reset(cause: Exclude<ResetCause, 'powerOn'>, heldMs = 0): void {
    if (!this.state.powered) return;
    this.core.eeprom.finish();
    const memory = this.core.cpu.data.slice(SRAM_START);
    const flags = this.core.cpu.data[MCUSR]!;
    this.#rebuild();
    this.core.cpu.data.set(memory, SRAM_START);
    this.core.cpu.data[MCUSR] = flags;
    this.#beginReset(cause, Math.round(heldMs * CYCLES_PER_MS) + this.#startUpCycles);
  }

  /** Stops the processor in one of three ways, until `thaw` or a reset. */
  freeze(kind: FreezeKind): void {
    this.state.frozen = kind;
    this.state.stuckAt = null;
  }

  /** Lets a frozen processor go on. A chip whose crystal stopped has lost its timers and needs a reset. */
  thaw(): void {
    if (this.state.frozen === 'clock') {
      throw new Error('A processor whose crystal stopped cannot just go on; reset it or cycle its power.');
    }
    this.state.frozen = null;
    this.state.stuckAt = null;
  }

  /** Lets time pass until a cycle, give or take the few cycles of the instruction it falls in. */
  run(untilCycles: number): void {
    while (this.cycles < untilCycles) {
      if (this.core.watchdogBarked) this.reset('watchdog');
      const { powered, frozen, heldUntilCycles } = this.state;
      if (!powered) passTime(this.core, untilCycles, this.#isOutside);
      else if (this.cycles < heldUntilCycles) {
        passTime(this.core, Math.min(untilCycles, heldUntilCycles), this.#isOutside);
      } else if (!this.state.running) this.#start();
      else if (frozen === 'core') passTime(this.core, untilCycles);
      else if (frozen === 'clock') passTime(this.core, untilCycles, this.#isAlive);
      else if (frozen === 'loop') this.#runStuck(untilCycles);
      else runCode(this.core, untilCycles);
    }
  }

  readonly #isOutside = (name: string): boolean => this.#around.outside.has(name);
  readonly #isAlive = (name: string): boolean => name === 'watchdog' || this.#isOutside(name);

  #start(): void {
    this.state.running = true;
    this.core.watchdog.start();
  }

  #runStuck(untilCycles: number): void {
    const { core } = this;
    if (this.state.stuckAt === null) {
      // Inside a handler, go on to its end first: it is the main loop that hangs.
      if (!core.cpu.interruptsEnabled && !core.asleep) {
        runCode(core, Math.min(untilCycles, this.cycles + 1));
        return;
      }
      core.asleep = false;
      this.state.stuckAt = { pc: core.cpu.pc, sp: core.cpu.SP };
    }
    runStuck(core, untilCycles, this.state.stuckAt);
  }

  #beginReset(cause: ResetCause, heldCycles: number): void {
    const { data } = this.core.cpu;
    // A power-on reset clears the other flags; each other cause adds its own.
    data[MCUSR] = cause === 'powerOn' ? RESET_FLAG.powerOn : data[MCUSR]! | RESET_FLAG[cause];
    this.state.resets[cause] += 1;
    this.state.heldUntilCycles = this.cycles + heldCycles;
  }

  #rebuild(): void {
    const due = this.core.events.list().filter(({ name }) => this.#isOutside(name));
    this.core = new Core(this.#around, this.cycles);
    this.core.events.restore(due);
    this.state.running = false;
    this.state.frozen = null;
    this.state.stuckAt = null;
    for (const port of ['B', 'C', 'D'] as const) {
      for (let bit = 0; bit < 8; bit += 1) {
        this.core.ports[port].setPin(bit, (this.state.inputs[port] & (1 << bit)) !== 0);
      }
      this.#around.onPort(port);
    }
  }

  /** Puts a snapshot in place: state of the chip, and a new core that `fill` makes into the old one. */
  restore(state: ChipState, fill: (core: Core) => void, atCycles: number): void {
    this.core = new Core(this.#around, atCycles);
    this.state = state;
    fill(this.core);
  }

  #fillWithNoise(): void {
    const { data } = this.core.cpu;
    let seed = (this.cycles % 0x7fffffff) + 1;
    for (let address = SRAM_START; address < data.length; address += 1) {
      seed = (seed * 48_271) % 0x7fffffff;
      data[address] = seed >> 8;
    }
  }
}

import {
  AVRIOPort,
  type AVRTimer,
  avrInterrupt,
  CPU,
  portBConfig,
  portCConfig,
  portDConfig,
  timer0Config,
  timer1Config,
  timer2Config,
} from 'avr8js';
import type { Random } from '../../../shared/units/random.ts';
import { Adc } from './adc.ts';
import { Eeprom, type EepromCells } from './eeprom.ts';
import { Events } from './events.ts';
import { inside } from './internals.ts';
import { lazyTimer } from './timers.ts';
import { Uart } from './uart.ts';
import { Watchdog, type WatchdogOptions } from './watchdog.ts';

/** Memory of the ATmega328P: 256 register addresses and 2 KiB of SRAM behind them. */
export const SRAM_BYTES = 2048;
/** Where SRAM begins in the data address space. */
export const SRAM_START = 0x100;
/** Reset flags, cleared by writing zeros. */
export const MCUSR = 0x54;
const SMCR = 0x53;

/** A port letter of the chip. */
export type PortLetter = 'B' | 'C' | 'D';

/** What the chip tells, and takes from, the board around it. */
export interface Wiring {
  /** Chance for the last bit of analog readings. */
  noise: Random;
  /** Input of an analog channel as a fraction of the supply, 0 to 1. */
  analog(channel: number): number;
  /** Pins of a port tied to the supply by a fault, as a bit mask: they read high whatever is driven. */
  tiedHigh(port: PortLetter): number;
  /** A character has left the transmit pin. */
  onTransmit(byte: number): void;
  /** Direction or level of some pin of a port changed; also after every reset. */
  onPort(port: PortLetter): void;
  /** Events of the world outside that must survive a reset, by name. */
  outside: ReadonlyMap<string, () => void>;
}

/** All a core is made with. */
export interface Surroundings extends Wiring {
  words: Uint16Array;
  cells: EepromCells;
  watchdog: WatchdogOptions;
}

/**
 * The processor and its peripherals between two resets. A reset makes a new one: nothing a program left in a
 * register can then leak into the next life, which resetting avr8js's objects in place does not ensure.
 */
export class Core {
  readonly cpu: CPU;
  readonly events: Events;
  readonly ports: Record<PortLetter, AVRIOPort>;
  readonly timers: readonly AVRTimer[];
  readonly uart: Uart;
  readonly eeprom: Eeprom;
  readonly adc: Adc;
  readonly watchdog: Watchdog;
  /** In SLEEP, waiting for an interrupt. */
  asleep = false;
  /** The watchdog wants a reset. */
  watchdogBarked = false;
  readonly #words: Uint16Array;

  constructor(around: Surroundings, atCycles: number) {
    const cpu = new CPU(around.words, SRAM_BYTES);
    cpu.cycles = atCycles;
    this.cpu = cpu;
    this.#words = around.words;
    this.events = new Events(cpu);
    this.ports = {
      B: new AVRIOPort(cpu, portBConfig),
      C: new AVRIOPort(cpu, portCConfig),
      D: new AVRIOPort(cpu, portDConfig),
    };
    for (const letter of ['B', 'C', 'D'] as const) {
      this.ports[letter].addListener(() => around.onPort(letter));
    }
    this.timers = [timer0Config, timer1Config, timer2Config].map((config, index) =>
      lazyTimer(cpu, this.events, `timer${index}`, config),
    );
    this.uart = new Uart(cpu, this.events, around.onTransmit);
    this.eeprom = new Eeprom(cpu, this.events, around.cells);
    this.adc = new Adc(cpu, this.events, around.noise, (channel) => around.analog(channel));
    this.watchdog = new Watchdog(cpu, this.events, around.watchdog, () => {
      this.watchdogBarked = true;
    });
    // Software can clear a reset flag, never set one.
    cpu.writeHooks[MCUSR] = (value, old) => {
      cpu.data[MCUSR] = old & value;
      return true;
    };
    for (const [port, { portConfig }] of Object.entries(this.ports)) {
      cpu.readHooks[portConfig.PIN] = (pin) => cpu.data[pin]! | around.tiedHigh(port as PortLetter);
    }
    for (const [name, callback] of around.outside) this.events.name(name, callback);
  }

  /** An interrupt is enabled, pending and allowed. */
  get interruptWaiting(): boolean {
    return this.cpu.nextInterrupt >= 0 && this.cpu.interruptsEnabled;
  }

  /** Enters the handler of the most urgent pending interrupt, if interrupts are allowed. */
  interrupt(): void {
    if (!this.interruptWaiting) return;
    const source = inside(this.cpu).pendingInterrupts[this.cpu.nextInterrupt];
    if (source == null) return;
    avrInterrupt(this.cpu, source.address);
    if (!source.constant) this.cpu.clearInterrupt(source);
  }

  /** The next instruction is SLEEP and sleeping is enabled. Throws for a sleep deeper than idle. */
  get wantsSleep(): boolean {
    if (this.#words[this.cpu.pc] !== 0x9588) return false;
    const mode = this.cpu.data[SMCR]!;
    if (!(mode & 1)) return false;
    if (mode & 0x0e) {
      throw new Error(
        `The program asked for sleep mode ${(mode >> 1) & 7}; the emulator has idle (0) only, which keeps the timers running.`,
      );
    }
    return true;
  }
}

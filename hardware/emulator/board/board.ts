import { PinState } from 'avr8js';
import { newRandom, type Random } from '../../../shared/units/random.ts';
import { Chip, type ResetCause } from '../avr/chip.ts';
import type { PortLetter } from '../avr/core.ts';
import type { EepromStore } from '../avr/eeprom.ts';
import { type Image, parseIntelHex } from '../avr/hex.ts';
import { CYCLES_PER_MS, CYCLES_PER_US } from '../avr/internals.ts';
import { OneWireBus } from '../onewire/bus.ts';
import { Ds18b20, type ProbeTiming } from '../onewire/ds18b20.ts';
import { Faults } from './faults.ts';
import { UsbLink } from './link.ts';
import { PIN, pinOf } from './pins.ts';
import { Sounder } from './sounder.ts';
import { Switches } from './switches.ts';

/** A probe to put on the board's 1-Wire bus. */
export interface ProbeOptions {
  /** Eight bytes as sent on the wire, see `romBytes`. */
  rom: readonly number[];
  /** Temperature at the probe, degC; asked once a conversion. */
  celsius: (nowMs: number) => number;
  timing?: Partial<ProbeTiming>;
}

/** How a board is made. All but the program has a default. */
export interface BoardOptions {
  /** Text of the .hex file. */
  hex: string;
  probes?: readonly ProbeOptions[];
  /** Where EEPROM is kept; without it the cells live as long as the object. */
  eeprom?: EepromStore;
  /** The board has a supply of its own and outlives a pulled USB plug. Default true. */
  ownSupply?: boolean;
  /** Guard switch fitted. Default true. */
  guardFitted?: boolean;
  /** Rate of the host's serial port. Default 57600. */
  baud?: number;
  /** Watchdog oscillator, Hz. Default 128000. */
  watchdogHz?: number;
  /** Fuse WDTON programmed. Default false. */
  watchdogAlwaysOn?: boolean;
  /** From the end of a reset to the first instruction, ms. Default 65. */
  startUpMs?: number;
  /** Input of an analog channel as a fraction of the supply, 0 to 1. Default 0.5. */
  analog?: (channel: number) => number;
  /** For noise on analog inputs and flipped bits. Default 1. */
  seed?: number;
}

/** What a pin does. */
export type PinLevel = 'low' | 'high' | 'input' | 'pull-up';
const LEVELS: Record<PinState, PinLevel> = {
  [PinState.Low]: 'low',
  [PinState.High]: 'high',
  [PinState.Input]: 'input',
  [PinState.InputPullUp]: 'pull-up',
};

const cycleAt = (ms: number): number => Math.round(ms * CYCLES_PER_MS);

/** The microcontroller board with its firmware, probes, switches, level switch, sounder and USB cable. */
export class Board {
  readonly image: Image;
  readonly chip: Chip;
  readonly bus: OneWireBus;
  readonly link: UsbLink;
  readonly switches: Switches;
  readonly sounder = new Sounder();
  readonly faults: Faults;
  /** The probes the board was given, plugged in or not, by ROM code in hex. */
  readonly probes: ReadonlyMap<string, Ds18b20>;
  readonly noise: Random;
  #waterPresent = true;
  readonly #afterAdvance = new Set<() => void>();

  /** A powered board at time 0, water present, probes on the bus. Throws when the .hex text is not sound. */
  constructor(options: BoardOptions) {
    this.image = parseIntelHex(options.hex);
    this.noise = newRandom(options.seed ?? 1);
    this.switches = new Switches(options.guardFitted ?? true);
    const probes = (options.probes ?? []).map(
      ({ rom, celsius, timing }) => new Ds18b20(rom, (nowUs) => celsius(nowUs / 1000), timing),
    );
    this.probes = new Map(probes.map((probe) => [probe.name, probe]));
    this.link = this.#makeLink(options.baud ?? 57_600);
    this.bus = this.#makeBus();
    this.chip = this.#makeChip(options);
    const { chip, bus, link, switches } = this;
    const ownSupply = options.ownSupply ?? true;
    this.faults = new Faults({ chip, bus, link, switches, probes: this.probes, ownSupply });
    this.waterPresent = true;
    this.chip.setInput('D', PIN.oneWire, true);
    for (const probe of probes) this.bus.attach(probe);
    this.chip.powerOn();
  }

  /** Time since the board was made, ms; it also passes without power. */
  get nowMs(): number {
    return this.chip.cycles / CYCLES_PER_MS;
  }

  /** Lets time pass. */
  advance(ms: number): void {
    this.advanceTo(this.nowMs + ms);
  }

  /** Lets time pass until a moment of the board's clock, to within one instruction. The past is ignored. */
  advanceTo(ms: number): void {
    this.chip.run(cycleAt(ms));
    for (const listener of this.#afterAdvance) listener();
  }

  /** Whether the clock cycle nearest to a moment has come: between two cycles there is no moment to reach. */
  reached(ms: number): boolean {
    // So worded, a moment that is no number counts as reached rather than be waited for for ever.
    return !(this.chip.cycles < cycleAt(ms));
  }

  /** Calls back after each advance, for faces that collect bytes. Returns how to stop. */
  afterAdvance(listener: () => void): () => void {
    this.#afterAdvance.add(listener);
    return () => this.#afterAdvance.delete(listener);
  }

  /** Whether the heater is fed: both switches conduct. */
  get heaterClosed(): boolean {
    return this.switches.heaterClosed;
  }

  /** How long the heater was fed since the board was made, ms. */
  get heaterClosedMs(): number {
    return this.switches.closedCycles(this.chip.cycles) / CYCLES_PER_MS;
  }

  /** Water at the level switch: its contact is closed to ground. */
  get waterPresent(): boolean {
    return this.#waterPresent;
  }

  /** Water comes or goes at the level switch. */
  set waterPresent(present: boolean) {
    this.#waterPresent = present;
    this.chip.setInput('D', PIN.levelSwitch, !present);
  }

  /** Whether the sounder sounds now. */
  get sounding(): boolean {
    return this.sounder.sounding(this.chip.cycles);
  }

  /** Whether the lamp on D13 is lit. */
  get lit(): boolean {
    return this.pin(PIN.led) === 'high';
  }

  /** Resets by cause since the board was made. */
  get resets(): Readonly<Record<ResetCause, number>> {
    return this.chip.state.resets;
  }

  /** What a pin (0-13, 14-19 for A0-A5) does. */
  pin(number: number): PinLevel {
    const { port, bit } = pinOf(number);
    return LEVELS[this.chip.pin(port, bit)];
  }

  /** Level the world puts on a free pin. */
  setInput(number: number, high: boolean): void {
    const { port, bit } = pinOf(number);
    this.chip.setInput(port, bit, high);
  }

  #makeLink(baud: number): UsbLink {
    return new UsbLink(
      {
        nowCycles: () => this.chip.cycles,
        arriveAt: (cycles) => this.chip.core.events.at('line', cycles),
        onArrive: (byte, framingError) => this.chip.core.uart.receive(byte, framingError),
        boardCyclesPerBit: () => this.chip.core.uart.cyclesPerBit,
      },
      baud,
    );
  }

  #makeBus(): OneWireBus {
    return new OneWireBus({
      nowUs: () => this.chip.cycles / CYCLES_PER_US,
      wakeAt: (atUs) => {
        if (atUs === Number.POSITIVE_INFINITY) this.chip.core.events.cancel('oneWire');
        else this.chip.core.events.at('oneWire', Math.ceil(atUs * CYCLES_PER_US));
      },
      onLevel: (high) => this.chip.setInput('D', PIN.oneWire, high),
      noise: this.noise,
    });
  }

  #makeChip(options: BoardOptions): Chip {
    const { eeprom, watchdogHz, watchdogAlwaysOn, startUpMs } = options;
    return new Chip({
      image: this.image,
      eeprom,
      watchdogHz,
      watchdogAlwaysOn,
      startUpMs,
      wiring: {
        noise: this.noise,
        analog: options.analog ?? (() => 0.5),
        tiedHigh: (port) => this.#tiedHigh(port),
        onTransmit: (byte) => this.link.fromBoard(byte),
        onPort: (port) => this.#onPort(port),
        outside: new Map([
          ['line', () => this.link.arrived()],
          ['oneWire', () => this.bus.wake()],
        ]),
      },
    });
  }

  #tiedHigh(port: PortLetter): number {
    const { tied } = this.switches.state;
    if (port === 'D') return tied.regulating ? 1 << pinOf(PIN.regulating).bit : 0;
    return port === 'B' && tied.guard ? 1 << pinOf(PIN.guard).bit : 0;
  }

  #onPort(port: PortLetter): void {
    const at = this.chip.cycles;
    if (port === 'D') {
      this.bus.drive(this.pin(PIN.oneWire) === 'low');
      this.switches.drive('regulating', this.pin(PIN.regulating) === 'high', at);
    } else if (port === 'B') {
      this.switches.drive('guard', this.pin(PIN.guard) === 'high', at);
      this.sounder.level(this.pin(PIN.sounder) === 'high', at);
    }
  }
}

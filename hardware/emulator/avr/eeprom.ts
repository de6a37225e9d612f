import type { CPU } from 'avr8js';
import type { Events } from './events.ts';
import { CYCLES_PER_MS } from './internals.ts';

/** Size of the ATmega328P's EEPROM, bytes. */
export const EEPROM_BYTES = 1024;

// Registers, bits and times: ATmega328P datasheet DS40002061, chapter "AVR Memories".
const EECR = 0x3f;
const EEDR = 0x40;
const EEARL = 0x41;
const EEARH = 0x42;
const EERE = 0x01;
const EEPE = 0x02;
const EEMPE = 0x04;
const EERIE = 0x08;
const MODE = 0x30;
const PROGRAM_MS: Record<number, number> = { 0: 3.4, 16: 1.8, 32: 1.8 };
const ERASE_ONLY = 0x10;
const WRITE_ONLY = 0x20;

/** Where the cells are kept while the emulator does not run. */
export interface EepromStore {
  /** The cells as last saved, or undefined for a new chip. */
  load(): Uint8Array | undefined;
  /** Called after each finished byte with all cells. */
  save(cells: Uint8Array): void;
}

/** The cells: they outlive every reset and the loss of power. */
export class EepromCells {
  readonly bytes: Uint8Array;
  /** How often each cell was erased; the datasheet warrants 100,000. */
  readonly wear = new Uint32Array(EEPROM_BYTES);
  readonly #store: EepromStore | undefined;

  /** Throws when the store holds another number of bytes than the chip. */
  constructor(store?: EepromStore) {
    const loaded = store?.load();
    if (loaded !== undefined && loaded.length !== EEPROM_BYTES) {
      throw new Error(
        `The EEPROM store holds ${loaded.length} bytes; the ATmega328P has ${EEPROM_BYTES}. Delete it to start blank.`,
      );
    }
    this.bytes = loaded === undefined ? new Uint8Array(EEPROM_BYTES).fill(0xff) : Uint8Array.from(loaded);
    this.#store = store;
  }

  /** Sets a cell and saves. */
  set(address: number, value: number): void {
    this.bytes[address] = value;
    this.#store?.save(this.bytes);
  }

  /** Replaces all cells and their wear, and saves. */
  replace(bytes: Uint8Array, wear: readonly number[]): void {
    this.bytes.set(bytes);
    this.wear.set(wear);
    this.#store?.save(this.bytes);
  }
}

/** A byte being programmed. */
interface Programming {
  address: number;
  value: number;
  mode: number;
  startedCycles: number;
}

/** State of the EEPROM's control in a snapshot. */
export interface EepromState {
  armedUntilCycles: number;
  programming: Programming | null;
}

/** The EEPROM's control: reads, timed writes, and what is left of a write when power goes in the middle. */
export class Eeprom {
  readonly #cpu: CPU;
  readonly #events: Events;
  readonly #cells: EepromCells;
  #state: EepromState = { armedUntilCycles: -1, programming: null };
  readonly ready = {
    address: 0x2c,
    flagRegister: EECR,
    flagMask: EEPE,
    enableRegister: EECR,
    enableMask: EERIE,
    constant: true,
    inverseFlag: true,
  };

  constructor(cpu: CPU, events: Events, cells: EepromCells) {
    this.#cpu = cpu;
    this.#events = events;
    this.#cells = cells;
    events.name('eeprom.disarm', () => {
      cpu.data[EECR]! &= ~EEMPE;
    });
    events.name('eeprom.done', () => this.#done());
    cpu.writeHooks[EECR] = (value) => {
      this.#control(value);
      return true;
    };
  }

  /** Power went: a byte being programmed is left erased, or half written. Returns the address it tore, if any. */
  tear(): number | undefined {
    const programming = this.#state.programming;
    if (programming === null) return undefined;
    const half = (programmingCycles(programming.mode) / 2) | 0;
    if (programming.mode !== WRITE_ONLY) this.#cells.wear[programming.address]! += 1;
    const erased = this.#cpu.cycles - programming.startedCycles < half;
    // Bits are programmed from 1 to 0; which of them made it is anybody's guess, so every other one.
    this.#cells.set(programming.address, erased ? 0xff : programming.value | 0x55);
    this.#state.programming = null;
    return programming.address;
  }

  /** A reset without loss of power: what was begun is finished. */
  finish(): void {
    if (this.#state.programming !== null) this.#done();
  }

  /** State beside the registers and cells, for a snapshot. */
  snapshot(): EepromState {
    return structuredClone(this.#state);
  }

  /** Puts back a snapshot's state. */
  restore(state: EepromState): void {
    this.#state = structuredClone(state);
  }

  #control(value: number): void {
    const { data, cycles } = this.#cpu;
    const busy = this.#state.programming !== null;
    data[EECR] = (busy ? EEPE : 0) | (value & (EEMPE | EERIE | MODE));
    this.#cpu.updateInterruptEnable(this.ready, value);
    if (value & EERE && !busy) {
      data[EEDR] = this.#cells.bytes[this.#address]!;
      this.#cpu.cycles += 4;
    }
    if (value & EEPE && !busy && cycles <= this.#state.armedUntilCycles) this.#program(value & MODE);
    else if (value & EEMPE) {
      this.#state.armedUntilCycles = cycles + 4;
      this.#events.at('eeprom.disarm', cycles + 5);
    }
  }

  get #address(): number {
    return ((this.#cpu.data[EEARH]! << 8) | this.#cpu.data[EEARL]!) % EEPROM_BYTES;
  }

  #program(mode: number): void {
    const { cycles, data } = this.#cpu;
    this.#state.programming = { address: this.#address, value: data[EEDR]!, mode, startedCycles: cycles };
    this.#cpu.data[EECR] = (data[EECR]! & ~EEMPE) | EEPE;
    this.#cpu.clearInterrupt(this.ready, false);
    this.#events.at('eeprom.done', cycles + programmingCycles(mode));
    this.#cpu.cycles += 2;
  }

  #done(): void {
    const programming = this.#state.programming;
    if (programming === null) return;
    const { address, value, mode } = programming;
    const before = this.#cells.bytes[address]!;
    if (mode !== WRITE_ONLY) this.#cells.wear[address]! += 1;
    this.#cells.set(address, mode === ERASE_ONLY ? 0xff : mode === WRITE_ONLY ? before & value : value);
    this.#state.programming = null;
    this.#cpu.setInterruptFlag(this.ready);
  }
}

function programmingCycles(mode: number): number {
  return (PROGRAM_MS[mode] ?? 3.4) * CYCLES_PER_MS;
}

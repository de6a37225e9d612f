import { CLOCK_HZ } from '../avr/internals.ts';

/** State of the cable in a snapshot. */
export interface LinkState {
  plugged: boolean;
  stalled: boolean;
  /** A character is on the line to the board. */
  lineBusy: boolean;
  /** Bytes in the adapter, on their way to the board. */
  toBoard: number[];
  /** Bytes the host has written that a stalled cable holds back. */
  heldToBoard: number[];
  /** Bytes from the board that a stalled cable holds back. */
  heldToHost: number[];
}

/** What the cable needs from the board. */
export interface LinkSurroundings {
  nowCycles(): number;
  /** Asks for `arrived` at a cycle. */
  arriveAt(cycles: number): void;
  /** A character has arrived at the board's receive pin. */
  onArrive(byte: number, framingError: boolean): void;
  /** Cycles the board's own setting gives a bit. */
  boardCyclesPerBit(): number;
}

/** A byte for the host. */
export type ByteListener = (byte: number) => void;

// Real adapters and drivers hold some kilobytes; a host that queues a megabyte has a fault of its own.
const MOST_QUEUED = 1_048_576;
const BITS_PER_CHARACTER = 10;
// A receiver that samples in the middle of the bit loses its place past 4 to 5 % (common practice, no source).
const RATE_TOLERANCE = 0.04;

/** The USB cable and its serial adapter, 8N1: paces bytes at the host's rate, holds them back, or loses them. */
export class UsbLink {
  state: LinkState = {
    plugged: true,
    stalled: false,
    lineBusy: false,
    toBoard: [],
    heldToBoard: [],
    heldToHost: [],
  };
  readonly #around: LinkSurroundings;
  readonly #characterCycles: number;
  readonly #listeners = new Set<ByteListener>();
  readonly #unplugListeners = new Set<() => void>();

  constructor(around: LinkSurroundings, baud: number) {
    this.#around = around;
    this.#characterCycles = Math.round((BITS_PER_CHARACTER * CLOCK_HZ) / baud);
  }

  /** Listens to bytes from the board, each at the moment its stop bit ends. Returns how to stop. */
  onByte(listener: ByteListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Listens for the cable being pulled. Returns how to stop. */
  onUnplug(listener: () => void): () => void {
    this.#unplugListeners.add(listener);
    return () => this.#unplugListeners.delete(listener);
  }

  /** Bytes from the host. False, and lost, when the cable is out. Throws when a megabyte is waiting. */
  write(bytes: Iterable<number>): boolean {
    const { state } = this;
    if (!state.plugged) return false;
    const queue = state.stalled ? state.heldToBoard : state.toBoard;
    for (const byte of bytes) queue.push(byte);
    if (queue.length > MOST_QUEUED)
      throw new Error('Over a megabyte waits for the board; the host must slow down.');
    this.#startLine();
    return true;
  }

  /** Bytes written that the board has not received yet. */
  get waiting(): number {
    return this.state.toBoard.length + this.state.heldToBoard.length;
  }

  /** The cable is pulled: all on its way, both directions, is lost. */
  pull(): void {
    if (!this.state.plugged) return;
    this.state = {
      ...this.state,
      plugged: false,
      stalled: false,
      toBoard: [],
      heldToBoard: [],
      heldToHost: [],
    };
    for (const listener of [...this.#unplugListeners]) listener();
  }

  /** The cable is plugged in again. */
  plug(): void {
    this.state.plugged = true;
  }

  /** From now on nothing passes, but nothing is lost either. */
  stall(): void {
    this.state.stalled = true;
  }

  /** Everything held back is let go at once: to the host immediately, to the board at line rate. */
  release(): void {
    const { state } = this;
    state.stalled = false;
    state.toBoard.push(...state.heldToBoard);
    state.heldToBoard = [];
    const forHost = state.heldToHost;
    state.heldToHost = [];
    this.#startLine();
    for (const byte of forHost) this.#tellHost(byte);
  }

  /** The time asked for by `arriveAt` has come. */
  arrived(): void {
    const { state } = this;
    state.lineBusy = false;
    const byte = state.toBoard.shift();
    if (byte !== undefined) {
      const garbled = this.#ratesDiffer();
      this.#around.onArrive(garbled ? byte ^ 0x5a : byte, garbled);
    }
    this.#startLine();
  }

  /** A character has left the board's transmit pin. */
  fromBoard(byte: number): void {
    const { state } = this;
    if (!state.plugged) return;
    const heard = this.#ratesDiffer() ? byte ^ 0x5a : byte;
    if (state.stalled) state.heldToHost.push(heard);
    else this.#tellHost(heard);
  }

  #tellHost(byte: number): void {
    for (const listener of this.#listeners) listener(byte);
  }

  #startLine(): void {
    if (this.state.lineBusy || this.state.toBoard.length === 0) return;
    this.state.lineBusy = true;
    this.#around.arriveAt(this.#around.nowCycles() + this.#characterCycles);
  }

  #ratesDiffer(): boolean {
    const host = this.#characterCycles / BITS_PER_CHARACTER;
    return Math.abs(this.#around.boardCyclesPerBit() / host - 1) > RATE_TOLERANCE;
  }
}

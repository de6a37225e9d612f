import { Duplex } from 'node:stream';
import type { Board } from '../board/board.ts';

/** How the serial port is opened. */
export interface BoardStreamOptions {
  /** Opening the port pulses the board's reset, as common boards do through DTR. Default false. */
  resetOnOpen?: boolean;
}

// Past this a serial adapter with a reader that has stopped would throw bytes away, and so does this one.
const MOST_UNREAD = 65_536;

/**
 * The board as a Node stream, shaped like a serial port: usable as the transport of firmata-io (and so of
 * johnny-five). Bytes come out after each advance of the board. A pulled USB plug closes it with an error that has
 * `disconnected: true`; after that, as with a real port, a new stream must be made.
 */
export class BoardStream extends Duplex {
  isOpen = false;
  readonly path = 'emulated';
  readonly #board: Board;
  readonly #stops: (() => void)[];
  #collected: number[] = [];

  /** Opens at the next turn of the event loop and says so with `open`. */
  constructor(board: Board, options: BoardStreamOptions = {}) {
    super({ autoDestroy: false, emitClose: false });
    this.#board = board;
    this.#stops = [
      board.link.onByte((byte) => this.#collected.push(byte)),
      board.afterAdvance(() => this.#deliver()),
      board.link.onUnplug(() => this.#disconnected()),
    ];
    setImmediate(() => this.#open(options.resetOnOpen ?? false));
  }

  /** Closes the port; `callback` hears an error if it was not open. */
  close(callback?: (error: Error | null) => void): void {
    if (!this.isOpen) {
      callback?.(new Error('Port is not open'));
      return;
    }
    this.#letGo();
    setImmediate(() => {
      this.emit('close');
      callback?.(null);
    });
  }

  override _read(): void {
    // Nothing to do: bytes are pushed when the board has made them.
  }

  override _write(chunk: Buffer, _encoding: string, callback: (error?: Error | null) => void): void {
    if (this.isOpen && this.#board.link.write(chunk)) callback();
    else callback(new Error('Port is not open'));
  }

  #open(reset: boolean): void {
    if (!this.#board.link.state.plugged) {
      this.#letGo();
      this.emit('error', new Error('Cannot open: the USB plug is out. Plug it in and make a new stream.'));
      return;
    }
    this.isOpen = true;
    if (reset) this.#board.faults.pressReset();
    this.emit('open');
  }

  #deliver(): void {
    if (this.#collected.length === 0) return;
    const bytes = Buffer.from(this.#collected);
    this.#collected = [];
    if (this.isOpen && this.readableLength < MOST_UNREAD) this.push(bytes);
  }

  #disconnected(): void {
    if (!this.isOpen) return;
    this.#deliver();
    this.#letGo();
    setImmediate(() =>
      this.emit('close', Object.assign(new Error('Port was unplugged'), { disconnected: true })),
    );
  }

  #letGo(): void {
    this.isOpen = false;
    for (const stop of this.#stops) stop();
  }
}

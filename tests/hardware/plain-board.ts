import { type ChildProcess, spawn } from 'node:child_process';
import { EventEmitter } from 'node:events';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Duplex } from 'node:stream';

/*
 * A board with plain Firmata and an analogue converter, written for these tests from the protocol's own text
 * (github.com/firmata/protocol, protocol.md 2.6: version, firmware, capabilities, analog mapping, report analog, sampling
 * interval, analog and extended analog messages). It has no 1-Wire and no message of ours.
 */

const FIRST_ANALOG = 14;
const PINS = 20;

export interface PlainOptions {
  readonly bits?: number;
  /** What the board says of its bits; by default what it has. */
  readonly saidBits?: number;
  /** Analogue channels of the pins from 14 on, where they are not 0 to 5 in order. */
  readonly mapping?: readonly number[];
  /** Values in the longer form of the message. */
  readonly extended?: boolean;
  /** The code at a channel now; null: the board sends none. */
  readonly code: (channel: number) => number | null;
}

/** The board, with a port that takes and gives bytes. */
export class PlainBoard extends EventEmitter {
  /** Every byte that the host has sent. */
  readonly written: number[] = [];
  intervalMs = 19;
  private readonly options: PlainOptions;
  private readonly reported = new Set<number>();
  private inbox: number[] = [];
  private timer: NodeJS.Timeout | null = null;

  constructor(options: PlainOptions) {
    super();
    this.options = options;
  }

  /** As a transport of a link in this process. */
  get port(): Duplex {
    return this as unknown as Duplex;
  }

  write(bytes: Uint8Array, done?: () => void): boolean {
    for (const byte of bytes) this.hear(byte);
    done?.();
    return true;
  }

  /** Forgets what it was asked for, as a board does that was reset. */
  reset(): void {
    this.reported.clear();
  }

  /** Bytes on the line that nobody asked for. */
  say(...bytes: number[]): void {
    this.emit('data', Buffer.from(bytes));
  }

  close(): void {
    if (this.timer) clearTimeout(this.timer);
    this.timer = null;
  }

  private hear(byte: number): void {
    this.written.push(byte);
    if (byte === 0xf9) this.say(0xf9, 2, 6);
    if (byte >= 0x80 && byte !== 0xf7) this.inbox = [];
    this.inbox.push(byte);
    const [command = 0, first = 0] = this.inbox;
    if ((command & 0xf0) === 0xc0 && this.inbox.length === 2) this.report(command & 0x0f, first === 1);
    if (command === 0xf0 && byte === 0xf7) this.sysex(this.inbox.slice(1, -1));
  }

  private report(channel: number, on: boolean): void {
    if (on) this.reported.add(channel);
    else this.reported.delete(channel);
    this.timer ??= setTimeout(() => this.sample(), this.intervalMs);
  }

  private sample(): void {
    this.timer = setTimeout(() => this.sample(), this.intervalMs);
    for (const channel of this.reported) {
      const code = this.options.code(channel);
      if (code === null) continue;
      const groups = [code & 0x7f, (code >> 7) & 0x7f];
      if (this.options.extended) this.say(0xf0, 0x6f, channel, ...groups, code >> 14, 0xf7);
      else this.say(0xe0 | channel, ...groups);
    }
  }

  private sysex([id, ...data]: number[]): void {
    const text = [...'Plain board'].flatMap((letter) => [letter.charCodeAt(0), 0]);
    const said = this.options.saidBits ?? this.options.bits ?? 10;
    const all = Array.from({ length: PINS }, (_, pin) => pin);
    if (id === 0x79) this.say(0xf0, 0x79, 2, 6, ...text, 0xf7);
    if (id === 0x7a) this.intervalMs = (data[0] ?? 0) | ((data[1] ?? 0) << 7);
    if (id === 0x6b) {
      const modes = all.flatMap((pin) => (pin < FIRST_ANALOG ? [0, 1, 1, 1, 0x7f] : [0, 1, 2, said, 0x7f]));
      this.say(0xf0, 0x6c, ...modes, 0xf7);
    }
    if (id === 0x69) {
      const { mapping } = this.options;
      const channelAt = (pin: number) => {
        const place = pin - FIRST_ANALOG;
        if (place < 0) return 0x7f;
        return mapping ? (mapping[place] ?? 0x7f) : place;
      };
      this.say(0xf0, 0x6a, ...all.map(channelAt), 0xf7);
    }
  }
}

/** True where the host has sent any message of ours: F0, then an id of 00 to 0F. */
export const askedOurs = (written: readonly number[]): boolean =>
  written.some((byte, at) => byte === 0xf0 && (written[at + 1] ?? 0xff) <= 0x0f);

/** Puts a board behind a real pseudo-terminal. */
export async function plainPty(board: PlainBoard): Promise<{ path: string; close(): void }> {
  const folder = mkdtempSync(join(tmpdir(), 'bath-plain-'));
  const path = join(folder, 'tty');
  const child: ChildProcess = spawn('socat', [`PTY,link=${path},rawer`, '-'], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  child.stdin?.on('error', () => undefined);
  board.on('data', (bytes: Buffer) => child.stdin?.write(bytes));
  child.stdout?.on('data', (bytes: Buffer) => board.write(bytes));
  for (let i = 0; i < 200 && !existsSync(path); i++) await new Promise((resolve) => setTimeout(resolve, 20));
  return {
    path,
    close() {
      board.close();
      child.kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

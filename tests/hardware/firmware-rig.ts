import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Board, type BoardOptions, CYCLES_PER_MS } from '../../hardware/emulator/index.ts';
import {
  type Answer,
  BoardListener,
  type FromBoard,
  type ProbeMessage,
  type ReadBack,
  type Status,
} from './firmware-hear.ts';
import { CAUSE, crc8, type LeaseFields, type LimitsFields, make } from './firmware-wire.ts';

/** Folder of the firmware's source and images; the compiled copy of this file finds it too. */
export function firmwareFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json'))) folder = dirname(folder);
  return join(folder, 'hardware', 'firmware');
}

/** Text of a committed image. */
export function image(name: 'two-switch' | 'one-switch' = 'two-switch'): string {
  return readFileSync(join(firmwareFolder(), 'image', `${name}.hex`), 'utf8');
}

/** ROM code of the n-th test probe, CRC included. */
export function rom(n: number, family = 0x28): number[] {
  const seven = [family, n, (n * 37) & 0xff, (n * 101) & 0xff, 0x5a ^ n, 0, 0];
  return [...seven, crc8(seven)];
}

/** ROM code as the emulator names it. */
export const romName = (code: readonly number[]): string =>
  code
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join('')
    .toUpperCase();

const SETTLE_MS = 2500;
// 59 characters of 10 bits at the board's own rate, 16 MHz / 8 / 35.
const STATUS_ON_LINE_MS = (59 * 10 * 8 * 35) / 16_000;

/** An emulated board with our firmware on the table, and a host that speaks to it. */
export class FirmwareRig {
  readonly board: Board;
  /** True water temperature, degC. */
  celsius = 60;
  statuses: Status[] = [];
  probes: ProbeMessage[] = [];
  answers: Answer[] = [];
  readBacks: ReadBack[] = [];
  firmata: number[][] = [];
  session = 0;
  /** When the board's own clock was zero, by the clock of the emulator: true to the tick, never early. */
  tickZeroMs = Number.POSITIVE_INFINITY;
  limits: LimitsFields = { rom: rom(1) };
  #listener: BoardListener;
  #tag = 0;

  /** A board at power-on, with the bath probe (`rom(1)`) unless probes are given. */
  constructor(options: Partial<BoardOptions> = {}, onMessage?: (message: FromBoard) => void) {
    this.board = new Board({
      hex: image(),
      probes: [{ rom: rom(1), celsius: () => this.celsius }],
      ...options,
    });
    this.#listener = this.#listen(onMessage);
    this.board.link.onByte((byte) => this.#listener.byte(byte, this.board.chip.cycles));
  }

  #listen(onMessage?: (message: FromBoard) => void): BoardListener {
    return new BoardListener((message) => {
      this.#take(message);
      onMessage?.(message);
    });
  }

  /** Begins to listen afresh, as after a snapshot was restored in the middle of a message. */
  restart(onMessage: (message: FromBoard) => void): void {
    this.#listener = this.#listen(onMessage);
  }

  /** Calls back with each byte as it arrives at the board's receiver, in cycles; one listener, the last one set. */
  onArrival(listener: (byte: number, atCycles: number) => void): void {
    const { link, chip } = this.board;
    const arrived = Object.getPrototypeOf(link).arrived as () => void;
    link.arrived = () => {
      const byte = link.state.toBoard[0];
      if (byte !== undefined) listener(byte, chip.cycles);
      arrived.call(link);
    };
  }

  /** The latest status. */
  get status(): Status {
    const status = this.statuses.at(-1);
    if (status === undefined) throw new Error('No status has been heard yet.');
    return status;
  }

  /** Time since the board was made, ms. */
  get nowMs(): number {
    return this.board.nowMs;
  }

  advance(ms: number): void {
    this.board.advance(ms);
  }

  /** Writes bytes to the cable. */
  send(bytes: readonly number[]): void {
    this.board.link.write(bytes);
  }

  /** Sends a message made with the given tag and gives the answer to it. */
  ask(message: (tag: number) => number[], waitMs = 80): Answer {
    this.#tag = (this.#tag + 1) & 0xff;
    const tag = this.#tag;
    this.answers = [];
    this.send(message(tag));
    this.advance(waitMs);
    const answer = this.answers.find((each) => each.tag === tag);
    if (answer === undefined)
      throw new Error(`No answer to tag ${tag}; heard ${JSON.stringify(this.answers)}.`);
    return answer;
  }

  /** Lets the board start, sets limits and reads them back. */
  connect(limits: Partial<LimitsFields> = {}): void {
    this.advance(SETTLE_MS);
    this.limits = { rom: rom(1), ...limits };
    const { code } = this.ask((tag) => make.limits({ ...this.limits, tag }));
    if (code !== 0) throw new Error(`Limits were refused with code ${code}.`);
    this.readBack();
    this.advance(1200);
  }

  /** Asks for the limits in force and notes the session. */
  readBack(): ReadBack {
    this.readBacks = [];
    this.send(make.limitsQuery(9));
    this.advance(40);
    const heard = this.readBacks[0];
    if (heard === undefined) throw new Error('No limits read-back.');
    this.session = heard.session;
    return heard;
  }

  /** Asks for a lease on the latest nonce and gives the answer. */
  lease(fields: Partial<LeaseFields> = {}, waitMs = 80): Answer {
    return this.ask((tag) => make.lease({ ...this.#leaseFields(fields), tag }), waitMs);
  }

  /** Clears the latched cause, or another; gives the answer. */
  clear(cause = this.status.latchedCause): Answer {
    this.advance(260);
    const { session } = this;
    return this.ask((tag) => make.clear({ nonce: this.status.nonce, session, cause, tag }), 120);
  }

  /** A tick every second: a lease on the latest nonce; `each` is called before it. */
  heat(seconds: number, fields: Partial<LeaseFields> = {}, each?: (second: number) => void): void {
    for (let second = 0; second < seconds; second++) {
      each?.(second);
      this.send(make.lease(this.#leaseFields(fields)));
      this.advance(1000);
    }
  }

  /** Renews leases until the circuit opens or time is up; gives the ms from now to its opening. */
  msUntilOpen(withinMs: number, renewing = true): number {
    const start = this.nowMs;
    this.board.switches.drain();
    if (!this.board.heaterClosed) return 0;
    for (let ms = 0; ms < withinMs; ms += 10) {
      if (renewing && ms % 500 === 0) this.send(make.lease(this.#leaseFields({})));
      this.advance(10);
      const open = this.board.switches.drain().circuit.find((edge) => !edge.closed);
      if (open !== undefined) return open.atCycles / CYCLES_PER_MS - start;
    }
    throw new Error(`The circuit is still closed after ${withinMs} ms.`);
  }

  /** Whether the board says that a trip of this cause is latched. */
  latched(cause: keyof typeof CAUSE): boolean {
    return this.status.latchedCause === CAUSE[cause];
  }

  #leaseFields(fields: Partial<LeaseFields>): LeaseFields {
    return { nonce: this.status.nonce, session: this.session, ...fields };
  }

  #takeStatus(status: Status, atCycles: number): void {
    const zeroMs = atCycles / CYCLES_PER_MS - STATUS_ON_LINE_MS - status.uptimeMs;
    const before = this.statuses.at(-1);
    const started = before === undefined || status.bootCount !== before.bootCount;
    this.tickZeroMs = started ? zeroMs : Math.min(this.tickZeroMs, zeroMs);
    this.statuses.push(status);
  }

  #take(message: FromBoard): void {
    if (message.kind === 'status') this.#takeStatus(message.status, message.at);
    else if (message.kind === 'probe') this.probes.push(message.probe);
    else if (message.kind === 'answer') this.answers.push(message.answer);
    else if (message.kind === 'readBack') this.readBacks.push(message.readBack);
    else this.firmata.push(message.bytes);
  }
}

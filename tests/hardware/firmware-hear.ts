/** The board's messages as a host hears them: decoded from hardware/firmware/PROTOCOL.md sections 2.1 to 2.4. */
import { bodyOf, ID } from './firmware-wire.ts';

/** A status as decoded. */
export type Status = ReturnType<typeof readStatus>;
/** A probe message as decoded. */
export type ProbeMessage = ReturnType<typeof readProbe>;
/** An answer as decoded. */
export type Answer = ReturnType<typeof readAnswer>;
/** A limits read-back as decoded. */
export type ReadBack = ReturnType<typeof readReadBack>;

const view = (body: readonly number[]): DataView => new DataView(Uint8Array.from(body).buffer);

function readStatus(body: readonly number[]) {
  const v = view(body);
  return {
    protocol: v.getUint8(0),
    firmware: `${v.getUint8(1)}.${v.getUint8(2)}.${v.getUint8(3)}`,
    variant: v.getUint8(4),
    uptimeMs: v.getUint32(5, true),
    bootCount: v.getUint32(9, true),
    nonce: v.getUint32(13, true),
    switches: v.getUint8(17),
    leaseSwitches: v.getUint8(18),
    leaseLeftMs: v.getUint16(19, true),
    latchedCause: v.getUint8(21),
    latchedDetail: v.getUint16(22, true),
    resetCause: v.getUint8(24),
    level: v.getUint8(25),
    blocks: v.getUint16(26, true),
    limitsCrc: v.getUint16(28, true),
    lastRefusal: v.getUint8(30),
    refusedCount: v.getUint16(31, true),
    badCrcCount: v.getUint16(33, true),
    lostBytes: v.getUint16(35, true),
    heatRunS: v.getUint16(37, true),
    bathAgeMs: v.getUint16(39, true),
    bathRaw: v.getInt16(41, true),
    probeCount: v.getUint8(43),
    sounder: v.getUint8(44),
    conversion: v.getUint16(45, true),
  };
}

function readProbe(body: readonly number[]) {
  const v = view(body);
  return {
    conversion: v.getUint16(0, true),
    index: v.getUint8(2),
    count: v.getUint8(3),
    flags: v.getUint8(4),
    rom: body.slice(5, 13),
    scratchpad: body.slice(13, 22),
    uptimeMs: v.getUint32(22, true),
  };
}

function readAnswer(body: readonly number[]) {
  const v = view(body);
  return { tag: v.getUint8(0), id: v.getUint8(1), code: v.getUint8(2), detail: v.getUint16(3, true) };
}

function readReadBack(body: readonly number[]) {
  const v = view(body);
  return {
    tag: v.getUint8(0),
    limitsState: v.getUint8(1),
    session: v.getUint16(2, true),
    rom: body.slice(4, 12),
    maxRaw: v.getInt16(12, true),
    maxHeatS: v.getUint16(14, true),
    silenceMs: v.getUint16(16, true),
    limitsCrc: v.getUint16(18, true),
    ceilingMaxRaw: v.getInt16(20, true),
    floorMaxRaw: v.getInt16(22, true),
    ceilingMaxHeatS: v.getUint16(24, true),
    floorMaxHeatS: v.getUint16(26, true),
    ceilingSilenceMs: v.getUint16(28, true),
    floorSilenceMs: v.getUint16(30, true),
  };
}

/** A message from the board. */
export type FromBoard =
  | { kind: 'status'; at: number; status: Status }
  | { kind: 'probe'; at: number; probe: ProbeMessage }
  | { kind: 'readBack'; at: number; readBack: ReadBack }
  | { kind: 'answer'; at: number; answer: Answer }
  | { kind: 'firmata'; at: number; bytes: number[] };

/** Cuts the board's bytes into messages. Throws on a frame of ours that is not sound: the line has no noise. */
export class BoardListener {
  #bytes: number[] = [];
  readonly #onMessage: (message: FromBoard) => void;

  constructor(onMessage: (message: FromBoard) => void) {
    this.#onMessage = onMessage;
  }

  /** Takes one byte that arrived `at` (any unit; handed on). */
  byte(byte: number, at: number): void {
    // A board that is reset in the middle of a message begins a new one.
    if (byte >= 0x80 && byte !== 0xf7) this.#bytes = [];
    const bytes = this.#bytes;
    bytes.push(byte);
    const first = bytes[0]!;
    const done = first === 0xf0 ? byte === 0xf7 : bytes.length === 3;
    if (first < 0x80) throw new Error(`A data byte ${first} outside any message.`);
    if (!done) return;
    this.#bytes = [];
    if (first === 0xf0 && bytes[1]! <= 0x0f) this.#ours(bytes.slice(1, -1), at);
    else this.#onMessage({ kind: 'firmata', at, bytes });
  }

  #ours(content: number[], at: number): void {
    const body = bodyOf(content);
    if (body === null) throw new Error(`The board sent a frame that is not sound: ${content.join(' ')}`);
    if (content[0] === ID.status) this.#onMessage({ kind: 'status', at, status: readStatus(body) });
    else if (content[0] === ID.probe) this.#onMessage({ kind: 'probe', at, probe: readProbe(body) });
    else if (content[0] === ID.readBack)
      this.#onMessage({ kind: 'readBack', at, readBack: readReadBack(body) });
    else this.#onMessage({ kind: 'answer', at, answer: readAnswer(body) });
  }
}

import { decodeFrame, encodeFrame, type FrameFault } from './board-frame.ts';

/*
 * Messages between host and board. The contract, field by field, is hardware/firmware/PROTOCOL.md. Bytes in, plain
 * values out and the other way round; nothing here keeps time or talks to a port.
 */

/** Identifiers of our messages (PROTOCOL.md, section 2). */
export const BOARD_ID = {
  status: 0x01,
  probe: 0x02,
  limitsReadBack: 0x03,
  answer: 0x04,
  lease: 0x08,
  limits: 0x09,
  limitsQuery: 0x0a,
  clear: 0x0b,
  sounder: 0x0c,
  trip: 0x0d,
  release: 0x0e,
} as const;

const BODY_BYTES: Readonly<Record<number, number>> = { 1: 47, 2: 26, 3: 32, 4: 5 };

/** Nothing measured yet, where a status or a probe message has a temperature code. */
export const NO_CODE = -32_768;

/** Both switches, as a pair of truths. */
export interface SwitchPair {
  regulating: boolean;
  guard: boolean;
}

/** The board's report of itself (PROTOCOL.md, 2.1). Times in ms unless named; codes in 1/16 degC. */
export interface BoardStatus {
  kind: 'status';
  protocol: number;
  firmware: string;
  guardFitted: boolean;
  attendedOnly: boolean;
  uptimeMs: number;
  bootCount: number;
  nonce: number;
  commanded: SwitchPair;
  measured: SwitchPair;
  leased: SwitchPair;
  leaseLeftMs: number;
  latchedCause: number;
  latchedDetail: number;
  resetCause: number;
  waterPresent: boolean;
  levelContactClosed: boolean;
  blocks: number;
  limitsCrc: number;
  lastRefusal: number;
  refusedCount: number;
  badCrcCount: number;
  lostBytes: number;
  heatRunS: number;
  bathAgeMs: number;
  bathCode: number;
  probeCount: number;
  sounder: number;
  conversion: number;
}

/** One probe after one conversion, raw (PROTOCOL.md, 2.2). */
export interface BoardProbe {
  kind: 'probe';
  conversion: number;
  index: number;
  count: number;
  flags: number;
  rom: number[];
  scratchpad: number[];
  uptimeMs: number;
}

/** Limits a host sets (PROTOCOL.md, 2.6). */
export interface BoardLimits {
  /** ROM code of the bath probe, 8 bytes as on the wire. */
  bathRom: readonly number[];
  /** Highest bath temperature, 1/16 degC. */
  maxCode: number;
  /** Longest heat without a break, s. */
  maxHeatS: number;
  /** Longest time without a good bath reading while heating, ms. */
  silenceMs: number;
}

/** Limits in force, the session that goes with them, and the compiled-in bounds (PROTOCOL.md, 2.3). */
export interface BoardLimitsReadBack {
  kind: 'limits';
  tag: number;
  set: boolean;
  readBack: boolean;
  session: number;
  limits: BoardLimits;
  limitsCrc: number;
  ceiling: Omit<BoardLimits, 'bathRom'>;
  floor: Omit<BoardLimits, 'bathRom'>;
}

/** What became of a message (PROTOCOL.md, 2.4 and section 3). */
export interface BoardAnswer {
  kind: 'answer';
  tag: number;
  id: number;
  code: number;
  detail: number;
}

/** A frame that is not ours, or is damaged. */
export type BoardOther = { kind: 'foreign'; id: number } | { kind: 'damaged'; id: number; why: FrameFault };

/** Any frame from the board, read. */
export type BoardMessage = BoardStatus | BoardProbe | BoardLimitsReadBack | BoardAnswer | BoardOther;

/** Reads a frame (F0 to F7) from the board. Never throws: a frame not ours or damaged is named as such. */
export function decodeBoardMessage(frame: ArrayLike<number>): BoardMessage {
  const id = frame[1] ?? 0;
  const expected = BODY_BYTES[id];
  if (expected === undefined) return { kind: 'foreign', id };
  const decoded = decodeFrame(frame);
  if (typeof decoded === 'string') return { kind: 'damaged', id, why: decoded };
  if (decoded.body.length !== expected) return { kind: 'damaged', id, why: 'length' };
  const view = new DataView(Uint8Array.from(decoded.body).buffer);
  if (id === BOARD_ID.status) return readStatus(view);
  if (id === BOARD_ID.probe) return readProbe(view);
  return id === BOARD_ID.limitsReadBack ? readLimits(view) : readAnswer(view);
}

/** A lease to ask for (PROTOCOL.md, 2.5). */
export interface LeaseRequest {
  /** Any byte; the answer repeats it. */
  tag: number;
  /** From the latest status. */
  nonce: number;
  /** From the limits read-back. */
  session: number;
  /** 1 to 2000, from the issue of the nonce; 1600 is usual. */
  durationMs: number;
  switches: SwitchPair;
}

/** Frame that asks for a lease. Throws RangeError when a number does not fit its field. */
export function leaseFrame(request: LeaseRequest): number[] {
  const { tag, nonce, session, durationMs, switches } = request;
  const mask = (switches.regulating ? 1 : 0) | (switches.guard ? 2 : 0);
  return encodeFrame(BOARD_ID.lease, [
    ...bytesOf(tag, 1, 'tag'),
    ...bytesOf(nonce, 4, 'nonce'),
    ...bytesOf(session, 2, 'session'),
    ...bytesOf(durationMs, 2, 'durationMs'),
    mask,
  ]);
}

/** Frame that sets limits; it ends the session. Throws RangeError when a number does not fit its field. */
export function limitsFrame(tag: number, limits: BoardLimits): number[] {
  if (limits.bathRom.length !== 8) {
    throw new RangeError(`bathRom is a ROM code of 8 bytes, not ${limits.bathRom.length}.`);
  }
  return encodeFrame(BOARD_ID.limits, [
    ...bytesOf(tag, 1, 'tag'),
    ...limits.bathRom,
    ...bytesOf(limits.maxCode < 0 ? limits.maxCode + 0x10000 : limits.maxCode, 2, 'maxCode'),
    ...bytesOf(limits.maxHeatS, 2, 'maxHeatS'),
    ...bytesOf(limits.silenceMs, 2, 'silenceMs'),
  ]);
}

/** Frame that reads limits back; the answer carries the session. Also keeps a connection alive. */
export const limitsQueryFrame = (tag: number): number[] =>
  encodeFrame(BOARD_ID.limitsQuery, bytesOf(tag, 1, 'tag'));

/** Frame that clears a trip a person has looked into; `cause` must be the one latched. */
export function clearFrame(tag: number, nonce: number, session: number, cause: number): number[] {
  const fresh = [...bytesOf(nonce, 4, 'nonce'), ...bytesOf(session, 2, 'session')];
  return encodeFrame(BOARD_ID.clear, [...bytesOf(tag, 1, 'tag'), ...fresh, ...bytesOf(cause, 1, 'cause')]);
}

/** Frame that sounds a pattern (0 silence, 1 attention, 2 warning, 3 emergency) for some seconds. */
export const sounderFrame = (tag: number, pattern: number, seconds: number): number[] =>
  encodeFrame(BOARD_ID.sounder, [
    ...bytesOf(tag, 1, 'tag'),
    ...bytesOf(pattern, 1, 'pattern'),
    ...bytesOf(seconds, 2, 'seconds'),
  ]);

/** Frame that opens both switches and latches the host's own trip; `detail` is the host's code. */
export const tripFrame = (tag: number, detail: number): number[] =>
  encodeFrame(BOARD_ID.trip, [...bytesOf(tag, 1, 'tag'), ...bytesOf(detail, 2, 'detail')]);

/** Frame that ends heat now, in the normal way. */
export const releaseFrame = (tag: number): number[] => encodeFrame(BOARD_ID.release, bytesOf(tag, 1, 'tag'));

function bytesOf(value: number, count: number, name: string): number[] {
  if (!Number.isInteger(value) || value < 0 || value >= 256 ** count) {
    throw new RangeError(`${name} must be a whole number from 0 to ${256 ** count - 1}, not ${value}.`);
  }
  return Array.from({ length: count }, (_, index) => Math.floor(value / 256 ** index) % 256);
}

const u8 = (view: DataView, at: number): number => view.getUint8(at);
const u16 = (view: DataView, at: number): number => view.getUint16(at, true);
const u32 = (view: DataView, at: number): number => view.getUint32(at, true);
const i16 = (view: DataView, at: number): number => view.getInt16(at, true);
const bytesAt = (view: DataView, at: number, count: number): number[] =>
  Array.from({ length: count }, (_, index) => view.getUint8(at + index));
const pair = (bits: number): SwitchPair => ({ regulating: (bits & 1) !== 0, guard: (bits & 2) !== 0 });

function readStatus(view: DataView): BoardStatus {
  return {
    kind: 'status',
    protocol: u8(view, 0),
    firmware: bytesAt(view, 1, 3).join('.'),
    guardFitted: (u8(view, 4) & 1) !== 0,
    attendedOnly: (u8(view, 4) & 2) !== 0,
    uptimeMs: u32(view, 5),
    bootCount: u32(view, 9),
    nonce: u32(view, 13),
    commanded: pair(u8(view, 17)),
    measured: pair(u8(view, 17) >> 2),
    leased: pair(u8(view, 18)),
    leaseLeftMs: u16(view, 19),
    latchedCause: u8(view, 21),
    latchedDetail: u16(view, 22),
    resetCause: u8(view, 24),
    waterPresent: (u8(view, 25) & 1) !== 0,
    levelContactClosed: (u8(view, 25) & 2) !== 0,
    blocks: u16(view, 26),
    limitsCrc: u16(view, 28),
    lastRefusal: u8(view, 30),
    refusedCount: u16(view, 31),
    badCrcCount: u16(view, 33),
    lostBytes: u16(view, 35),
    heatRunS: u16(view, 37),
    bathAgeMs: u16(view, 39),
    bathCode: i16(view, 41),
    probeCount: u8(view, 43),
    sounder: u8(view, 44),
    conversion: u16(view, 45),
  };
}

function readProbe(view: DataView): BoardProbe {
  return {
    kind: 'probe',
    conversion: u16(view, 0),
    index: u8(view, 2),
    count: u8(view, 3),
    flags: u8(view, 4),
    rom: bytesAt(view, 5, 8),
    scratchpad: bytesAt(view, 13, 9),
    uptimeMs: u32(view, 22),
  };
}

function readLimits(view: DataView): BoardLimitsReadBack {
  return {
    kind: 'limits',
    tag: u8(view, 0),
    set: (u8(view, 1) & 1) !== 0,
    readBack: (u8(view, 1) & 2) !== 0,
    session: u16(view, 2),
    limits: {
      bathRom: bytesAt(view, 4, 8),
      maxCode: i16(view, 12),
      maxHeatS: u16(view, 14),
      silenceMs: u16(view, 16),
    },
    limitsCrc: u16(view, 18),
    ceiling: { maxCode: i16(view, 20), maxHeatS: u16(view, 24), silenceMs: u16(view, 28) },
    floor: { maxCode: i16(view, 22), maxHeatS: u16(view, 26), silenceMs: u16(view, 30) },
  };
}

function readAnswer(view: DataView): BoardAnswer {
  return { kind: 'answer', tag: u8(view, 0), id: u8(view, 1), code: u8(view, 2), detail: u16(view, 3) };
}

/**
 * The board's messages, written from hardware/firmware/PROTOCOL.md alone, so that the tests do not take the
 * firmware's word (or the rig's) for what is on the wire.
 */

export const ID = {
  status: 0x01,
  probe: 0x02,
  readBack: 0x03,
  answer: 0x04,
  lease: 0x08,
  limits: 0x09,
  limitsQuery: 0x0a,
  clear: 0x0b,
  sounder: 0x0c,
  trip: 0x0d,
  release: 0x0e,
} as const;

export const CODE = {
  ok: 0,
  badCrc: 1,
  badLength: 2,
  unknownId: 3,
  noSession: 4,
  nonceUnknown: 5,
  nonceStale: 6,
  nonceSpent: 7,
  badDuration: 8,
  badSwitches: 9,
  latched: 10,
  condition: 11,
  outsideCeiling: 12,
  badRom: 13,
  notLatched: 14,
  wrongCause: 15,
  badArgument: 16,
  busy: 17,
} as const;

export const CAUSE = {
  none: 0,
  overTemperature: 1,
  probeSilent: 2,
  probeFailing: 3,
  levelLow: 4,
  heatTooLong: 5,
  linkCorrupt: 6,
  host: 7,
  switchStuck: 8,
  memory: 9,
  torn: 10,
} as const;

export const BLOCK = {
  noSession: 1,
  latched: 2,
  overTemperature: 4,
  probeStale: 8,
  levelLow: 16,
  switchStuck: 32,
  eepromFault: 64,
  heatTooLong: 128,
  linkCorrupt: 256,
} as const;

/** CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, bit by bit from its definition. */
export function crc16(bytes: Iterable<number>): number {
  let crc = 0xffff;
  for (const byte of bytes) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit++)
      crc = crc & 0x8000 ? ((crc << 1) ^ 0x1021) & 0xffff : (crc << 1) & 0xffff;
  }
  return crc;
}

/** CRC-8 of 1-Wire parts: x^8 + x^5 + x^4 + 1, reflected. */
export function crc8(bytes: Iterable<number>): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >> 1) ^ 0x8c : crc >> 1;
  }
  return crc;
}

/** Bytes as one little-endian bit stream in groups of seven. */
export function pack7(bytes: readonly number[]): number[] {
  const out: number[] = [];
  for (let bit = 0; bit < bytes.length * 8; bit += 7) {
    let group = 0;
    for (let i = 0; i < 7 && bit + i < bytes.length * 8; i++) {
      const at = bit + i;
      group |= ((bytes[at >> 3]! >> (at & 7)) & 1) << i;
    }
    out.push(group);
  }
  return out;
}

/** Undoes `pack7`; whole bytes only. */
export function unpack7(groups: readonly number[]): number[] {
  const out: number[] = new Array(Math.floor((groups.length * 7) / 8)).fill(0);
  for (let at = 0; at < out.length * 8; at++) {
    out[at >> 3]! |= ((groups[Math.floor(at / 7)]! >> (at % 7)) & 1) << (at & 7);
  }
  return out;
}

/** A whole frame of ours. */
export function frame(id: number, body: readonly number[]): number[] {
  const crc = crc16([id, ...body]);
  return [0xf0, id, ...pack7([...body, crc & 0xff, crc >> 8]), 0xf7];
}

const le16 = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff];
const le32 = (value: number): number[] => [...le16(value & 0xffff), ...le16(value >>> 16)];

/** What a lease says. */
export interface LeaseFields {
  tag?: number;
  nonce: number;
  session: number;
  durationMs?: number;
  switches?: number;
}

/** What limits say. */
export interface LimitsFields {
  tag?: number;
  rom: readonly number[];
  maxRaw?: number;
  maxHeatS?: number;
  silenceMs?: number;
}

/** The messages a host may send. */
export const make = {
  lease: (f: LeaseFields): number[] =>
    frame(ID.lease, [
      f.tag ?? 0,
      ...le32(f.nonce),
      ...le16(f.session),
      ...le16(f.durationMs ?? 1600),
      f.switches ?? 3,
    ]),
  limits: (f: LimitsFields): number[] => frame(ID.limits, [f.tag ?? 0, ...limitsBytes(f)]),
  limitsQuery: (tag = 0): number[] => frame(ID.limitsQuery, [tag]),
  clear: (f: { tag?: number; nonce: number; session: number; cause: number }): number[] =>
    frame(ID.clear, [f.tag ?? 0, ...le32(f.nonce), ...le16(f.session), f.cause]),
  sounder: (pattern: number, seconds: number, tag = 0): number[] =>
    frame(ID.sounder, [tag, pattern, ...le16(seconds)]),
  trip: (detail: number, tag = 0): number[] => frame(ID.trip, [tag, ...le16(detail)]),
  release: (tag = 0): number[] => frame(ID.release, [tag]),
};

/** The 14 bytes of which `limitsCrc` is the CRC. */
export function limitsBytes(f: LimitsFields): number[] {
  return [...f.rom, ...le16(f.maxRaw ?? 1360), ...le16(f.maxHeatS ?? 14_400), ...le16(f.silenceMs ?? 3000)];
}

const BODY_BYTES: Record<number, number> = {
  [ID.status]: 47,
  [ID.probe]: 26,
  [ID.readBack]: 32,
  [ID.answer]: 5,
  [ID.lease]: 10,
  [ID.limits]: 15,
  [ID.limitsQuery]: 1,
  [ID.clear]: 8,
  [ID.sounder]: 4,
  [ID.trip]: 3,
  [ID.release]: 1,
};

/** The body of a frame whose content (id first, without F0 and F7) is whole: right CRC, length and fill; else null. */
export function bodyOf(content: readonly number[]): number[] | null {
  const [id, ...groups] = content;
  const wanted = id === undefined ? undefined : BODY_BYTES[id];
  if (id === undefined || wanted === undefined) return null;
  const bytes = unpack7(groups);
  if (bytes.length !== wanted + 2 || pack7(bytes).join() !== groups.join()) return null;
  const body = bytes.slice(0, wanted);
  return crc16([id, ...body]) === bytes[wanted]! + bytes[wanted + 1]! * 256 ? body : null;
}

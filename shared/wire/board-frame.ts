/**
 * How messages between host and board are framed: system-exclusive messages of Firmata, 8-bit bytes packed into
 * 7-bit ones, and a CRC-16. The contract is hardware/firmware/PROTOCOL.md, section 1.
 */

const START_SYSEX = 0xf0;
const END_SYSEX = 0xf7;
// Firmata's capability answer for 20 pins is below 200 bytes; a frame past this has lost its end.
const MOST_FRAME_BYTES = 512;

/**
 * CRC-16/IBM-3740 (CCITT-FALSE): polynomial 0x1021, initial value 0xFFFF, not reflected, no final XOR.
 * Check value of "123456789": 0x29B1 (catalogue of parametrised CRC algorithms).
 */
export function crc16(bytes: ArrayLike<number>): number {
  let crc = 0xffff;
  for (const byte of Array.from(bytes)) {
    crc ^= byte << 8;
    for (let bit = 0; bit < 8; bit += 1) crc = (crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1) & 0xffff;
  }
  return crc;
}

/** Packs 8-bit bytes into 7-bit ones, as Firmata's 1-Wire messages do: n become ceil(8n / 7). */
export function pack7(bytes: ArrayLike<number>): number[] {
  const packed: number[] = [];
  let held = 0;
  let heldBits = 0;
  for (const byte of Array.from(bytes)) {
    held |= byte << heldBits;
    heldBits += 8;
    while (heldBits >= 7) {
      packed.push(held & 0x7f);
      held >>= 7;
      heldBits -= 7;
    }
  }
  if (heldBits > 0) packed.push(held);
  return packed;
}

/** Undoes `pack7`; null when a byte has its top bit set or fill bits are not zero. */
export function unpack7(packed: ArrayLike<number>): number[] | null {
  const bytes: number[] = [];
  let held = 0;
  let heldBits = 0;
  for (const group of Array.from(packed)) {
    if (group > 0x7f) return null;
    held |= group << heldBits;
    heldBits += 7;
    if (heldBits >= 8) {
      bytes.push(held & 0xff);
      held >>= 8;
      heldBits -= 8;
    }
  }
  return held === 0 ? bytes : null;
}

/** A whole frame, F0 to F7, of one of our messages. */
export function encodeFrame(id: number, body: readonly number[]): number[] {
  const crc = crc16([id, ...body]);
  return [START_SYSEX, id, ...pack7([...body, crc & 0xff, crc >> 8]), END_SYSEX];
}

/** Why a frame could not be read. */
export type FrameFault = 'packing' | 'crc' | 'length';

/** Body of a frame of ours (F0 to F7), or what is wrong with it. */
export function decodeFrame(frame: ArrayLike<number>): { id: number; body: number[] } | FrameFault {
  const id = frame[1] ?? 0;
  const bytes = unpack7(Array.from(frame).slice(2, -1));
  if (bytes === null) return 'packing';
  if (bytes.length < 2) return 'length';
  const body = bytes.slice(0, -2);
  const [low = 0, high = 0] = bytes.slice(-2);
  return crc16([id, ...body]) === (high << 8) + low ? { id, body } : 'crc';
}

/**
 * Cuts system-exclusive frames (F0 to F7 inclusive) out of a stream of bytes; other Firmata messages are skipped.
 * @param pending what the last call returned as `pending`; [] at first.
 * @returns the complete frames, and what to hand to the next call. A frame broken by another byte with its top bit
 * set, or longer than 512 bytes, is dropped.
 */
export function takeFrames(
  pending: readonly number[],
  bytes: ArrayLike<number>,
): { pending: number[]; frames: number[][] } {
  const frames: number[][] = [];
  let open = [...pending];
  for (const byte of Array.from(bytes)) {
    if (byte === START_SYSEX) open = [byte];
    else if (open.length === 0) continue;
    else if (byte === END_SYSEX) {
      frames.push([...open, byte]);
      open = [];
    } else if (byte >= 0x80 || open.length >= MOST_FRAME_BYTES) open = [];
    else open.push(byte);
  }
  return { pending: open, frames };
}

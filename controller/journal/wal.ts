import { readFileSync, statSync } from 'node:fs';

/** How far the write-ahead log beside a database can be read. */
export interface WalReport {
  /** Frames that have room in the file. */
  readonly slots: number;
  /** Frames from the first on whose salts and checksums are right. */
  readonly goodFrames: number;
  /** Frames up to the last whole commit: what SQLite will read. */
  readonly committedFrames: number;
  /** Frames of this log (its salts stand in them) that lie behind the first one that cannot be read. */
  readonly framesBeyond: number;
  /** What is wrong with the first frame that cannot be read; null where the log ends in order. */
  readonly why: string | null;
}

const HEADER_BYTES = 32;
const FRAME_HEADER_BYTES = 24;
/** The two magic numbers of a write-ahead log; the lower bit says how the words of a checksum lie. */
const MAGIC = 0x377f0682;
const EMPTY: WalReport = { slots: 0, goodFrames: 0, committedFrames: 0, framesBeyond: 0, why: null };

/** Reads the write-ahead log of a database. A missing or empty one is in order. */
export function readWal(databasePath: string): WalReport {
  const path = `${databasePath}-wal`;
  if ((statSync(path, { throwIfNoEntry: false })?.size ?? 0) === 0) return EMPTY;
  return walkWal(readFileSync(path));
}

/**
 * Walks the frames of a write-ahead log after the published format (SQLite, "Database File Format", section 4: header
 * magic, salts, and a checksum that runs on from frame to frame). SQLite reads up to the first frame that does not fit
 * and says nothing of what lies behind it; here it is told.
 */
export function walkWal(bytes: Uint8Array): WalReport {
  if (bytes.length < HEADER_BYTES) return { ...EMPTY, why: 'its header is cut short' };
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const magic = view.getUint32(0);
  const pageBytes = view.getUint32(8);
  const sound = magic >>> 1 === MAGIC >>> 1 && pageBytes >= 512 && pageBytes <= 65536;
  const little = (magic & 1) === 0;
  const sum = checksum(view, 0, 24, little, [0, 0]);
  if (!sound || sum[0] !== view.getUint32(24) || sum[1] !== view.getUint32(28)) {
    return {
      ...EMPTY,
      slots: slotsOf(bytes.length, 4096),
      why: 'its header is not that of a write-ahead log',
    };
  }
  return walkFrames(view, pageBytes, little, sum);
}

const slotsOf = (bytes: number, pageBytes: number) =>
  Math.floor((bytes - HEADER_BYTES) / (FRAME_HEADER_BYTES + pageBytes));

function walkFrames(view: DataView, pageBytes: number, little: boolean, start: Sum): WalReport {
  const slots = slotsOf(view.byteLength, pageBytes);
  const at = (frame: number) => HEADER_BYTES + frame * (FRAME_HEADER_BYTES + pageBytes);
  const ours = (frame: number) =>
    view.getUint32(at(frame) + 8) === view.getUint32(16) &&
    view.getUint32(at(frame) + 12) === view.getUint32(20);
  let sum = start;
  let good = 0;
  let committed = 0;
  for (; good < slots && ours(good); good += 1) {
    const begin = at(good);
    sum = checksum(view, begin, 8, little, sum);
    sum = checksum(view, begin + FRAME_HEADER_BYTES, pageBytes, little, sum);
    if (sum[0] !== view.getUint32(begin + 16) || sum[1] !== view.getUint32(begin + 20)) break;
    if (view.getUint32(begin + 4) !== 0) committed = good + 1;
  }
  let framesBeyond = 0;
  for (let frame = good; frame < slots; frame += 1) if (ours(frame)) framesBeyond += 1;
  const torn = view.byteLength > at(slots) && good === slots;
  const why =
    framesBeyond > 0
      ? `frame ${good + 1} of ${slots} cannot be read, ${framesBeyond} frames of the same log lie there or behind`
      : torn
        ? `it ends within frame ${slots + 1}`
        : null;
  return { slots, goodFrames: good, committedFrames: committed, framesBeyond, why };
}

type Sum = readonly [number, number];

/** The running checksum of the format over whole pairs of 32-bit words. */
function checksum(view: DataView, from: number, bytes: number, little: boolean, [a, b]: Sum): Sum {
  let s0 = a;
  let s1 = b;
  for (let at = from; at < from + bytes; at += 8) {
    s0 = (s0 + view.getUint32(at, little) + s1) >>> 0;
    s1 = (s1 + view.getUint32(at + 4, little) + s0) >>> 0;
  }
  return [s0, s1];
}

import { createHash } from 'node:crypto';

/** What a leaf of the chain stands for. `input` covers the bytes of a tick as stored, `sample` and the rest their text. */
export type LeafKind =
  | 'input'
  | 'sample'
  | 'run'
  | 'snapshot'
  | 'cook'
  | 'bag'
  | 'event'
  | 'alarm'
  | 'command';

/** Bytes of a link, and of the mark that is kept of each leaf to tell which row was changed. */
export const LINK_BYTES = 32;
const MARK_BYTES = 4;

/** What the first link of a log follows on. */
export const BEGINNING: Uint8Array = new Uint8Array(LINK_BYTES);

/** SHA-256 (FIPS 180-4) of the parts, each after its length, so that no two lists of parts give the same bytes. */
function sha256(...parts: readonly (string | Uint8Array)[]): Uint8Array {
  const hash = createHash('sha256');
  const length = Buffer.allocUnsafe(4);
  for (const part of parts) {
    length.writeUInt32BE(typeof part === 'string' ? Buffer.byteLength(part) : part.length);
    hash.update(length).update(part);
  }
  return hash.digest();
}

/** The leaf of one row: its kind, the cook it stands under ('' = none), and its text or bytes. */
export function leafOf(kind: LeafKind, cookId: string | null, ...row: readonly (string | Uint8Array)[]) {
  return sha256(kind, cookId ?? '', ...row);
}

/** The link of a tick: over the link before it, its number, and the leaves of all that it brought, in order. */
export function linkOf(before: Uint8Array, sequence: number, leaves: readonly Uint8Array[]): Uint8Array {
  return sha256(before, String(sequence), ...leaves);
}

/** A link with the marks of its leaves behind it, as the log keeps it. */
export function storedLink(link: Uint8Array, leaves: readonly Uint8Array[]): Uint8Array {
  return Buffer.concat([link, ...leaves.map((leaf) => leaf.subarray(0, MARK_BYTES))]);
}

/** The link alone. */
export function linkIn(stored: Uint8Array): Uint8Array {
  return stored.subarray(0, LINK_BYTES);
}

/** What the marks say of the leaves that were found: which differ, or that there are more or fewer rows than were sealed. */
export function differingLeaves(stored: Uint8Array, leaves: readonly Uint8Array[]): number[] | 'count' {
  const marks = stored.subarray(LINK_BYTES);
  if (marks.length !== leaves.length * MARK_BYTES) return 'count';
  return leaves.flatMap((leaf, n) => {
    const mark = marks.subarray(n * MARK_BYTES, (n + 1) * MARK_BYTES);
    return same(mark, leaf.subarray(0, MARK_BYTES)) ? [] : [n];
  });
}

/** True where both hold the same bytes. */
export function same(a: Uint8Array, b: Uint8Array): boolean {
  return Buffer.compare(a, b) === 0;
}

/** A digest for people and files: lower-case hexadecimal. */
export function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('hex');
}

/** The text that stands for a command in the chain: its row with the tick that took it in, as it is exported. */
export function commandText(sequence: number, wallMs: number, row: string): string {
  return `{"sequence":${sequence},"wallMs":${wallMs},${row.slice(1)}`;
}

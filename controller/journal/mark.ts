import { createHash } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fdatasyncSync,
  ftruncateSync,
  openSync,
  readFileSync,
  writeSync,
} from 'node:fs';
import { dirname, resolve } from 'node:path';
import { syncFolder } from './damage.ts';

/** How far the log must reach: the last tick that was acknowledged, and its link. */
export interface Mark {
  readonly sequence: number;
  readonly wallMs: number;
  /** The link of that tick in hexadecimal; '' where no tick was recorded yet. */
  readonly link: string;
}

/** What stands beside a log. `unreadable`: there is a file, and neither of its two places holds a mark. */
export type FoundMark =
  | { readonly kind: 'none' }
  | { readonly kind: 'unreadable' }
  | ({ readonly kind: 'mark' } & Mark);

/** Two places, each in a block of its own of the disk, written in turn: one torn write never costs both. */
const PLACE_BYTES = 4096;
const PLACES = 2;
const TEXT_BYTES = 256;

/** The file with the mark of a log. */
export const markPath = (journalPath: string) => `${journalPath}-mark`;

const digest = (text: string) => createHash('sha256').update(text).digest('hex').slice(0, 16);

function lineOf(turn: number, { sequence, wallMs, link }: Mark): string {
  const text = `bathkeeper-mark 1 ${turn} ${sequence} ${wallMs} ${link || '-'}`;
  return `${text} ${digest(text)}\n`.padEnd(TEXT_BYTES, ' ');
}

function inPlace(bytes: Uint8Array, place: number): ({ turn: number } & Mark) | null {
  const text = Buffer.from(bytes.subarray(place * PLACE_BYTES, place * PLACE_BYTES + TEXT_BYTES)).toString(
    'latin1',
  );
  const found = /^(bathkeeper-mark 1 (\d+) (\d+) (-?\d+(?:\.\d+)?) ([0-9a-f]{64}|-)) ([0-9a-f]{16})\n/.exec(
    text,
  );
  if (!found || digest(found[1] ?? '') !== found[6]) return null;
  const link = found[5] === '-' ? '' : (found[5] ?? '');
  return { turn: Number(found[2]), sequence: Number(found[3]), wallMs: Number(found[4]), link };
}

function newest(bytes: Uint8Array): ({ turn: number } & Mark) | null {
  const both = Array.from({ length: PLACES }, (_, place) => inPlace(bytes, place));
  return both.reduce((best, one) => (one && (!best || one.turn > best.turn) ? one : best), null);
}

/** The mark beside a log: of its two places the newer that can be read. */
export function readMark(journalPath: string): FoundMark {
  const path = markPath(journalPath);
  if (!existsSync(path)) return { kind: 'none' };
  const found = newest(readFileSync(path));
  if (!found) return { kind: 'unreadable' };
  const { sequence, wallMs, link } = found;
  return { kind: 'mark', sequence, wallMs, link };
}

/**
 * Keeps the mark of a log that is being written. `set` returns once the disk has it: a tick is acknowledged only then.
 * Both throw what the system throws.
 */
export class MarkFile {
  readonly #handle: number;
  #turn: number;

  constructor(journalPath: string) {
    const path = markPath(journalPath);
    const isNew = !existsSync(path);
    this.#turn = isNew ? 0 : (newest(readFileSync(path))?.turn ?? 0);
    this.#handle = openSync(path, isNew ? 'w+' : 'r+');
    // At its full size from the start: later writes need no room on a disk that has become full.
    if (isNew) {
      ftruncateSync(this.#handle, 0);
      writeSync(this.#handle, Buffer.alloc(PLACES * PLACE_BYTES, ' '), 0, PLACES * PLACE_BYTES, 0);
      fdatasyncSync(this.#handle);
      syncFolder(dirname(resolve(path)));
    }
  }

  set(mark: Mark): void {
    const turn = this.#turn + 1;
    const bytes = Buffer.from(lineOf(turn, mark), 'latin1');
    writeSync(this.#handle, bytes, 0, bytes.length, (turn % PLACES) * PLACE_BYTES);
    fdatasyncSync(this.#handle);
    this.#turn = turn;
  }

  close(): void {
    closeSync(this.#handle);
  }
}

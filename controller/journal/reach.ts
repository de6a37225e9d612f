import { hex, linkIn } from './chain.ts';
import type { Database } from './driver.ts';
import { lastSequenceOf } from './last.ts';
import { type FoundMark, readMark } from './mark.ts';
import { readWal } from './wal.ts';

/** Acknowledged rows that are not in the log any more. */
export interface LostRows {
  /** First and last tick that are gone; the last is null where nobody can tell. */
  readonly fromSequence: number;
  readonly throughSequence: number | null;
  /** Wall clock of the last tick that is left (null: none is), and of the last that was acknowledged (null: not known). */
  readonly fromMs: number | null;
  readonly toMs: number | null;
  /** What was seen, in words. */
  readonly why: string;
}

/** Why nobody can show that a log is whole: no mark of it is left, or the mark is of other rows than are in it. */
export type Doubt = 'no-mark' | 'other-log';

/** What was found when a log was held against the mark beside it. */
export interface Reach {
  readonly lost: LostRows | null;
  /** Set where nothing is known to be lost and yet nobody can show it; the note says it in words. */
  readonly doubt: Doubt | null;
  readonly note: string | null;
}

const IN_ORDER: Reach = { lost: null, doubt: null, note: null };

/** One commit brings so many ticks at most (`queue.ts`). */
const TICKS_A_COMMIT = 200;

/**
 * Holds a log against the mark beside it and against the frames of its write-ahead log. A torn end that was never
 * acknowledged is in order. Reads only. `db` is open on the log.
 */
export function reachOf(db: Database, path: string): Reach {
  const mark = readMark(path);
  const last = lastSequenceOf(db);
  const wal = readWal(path);
  if (mark.kind === 'mark') return againstMark(db, last, mark, wal.why);
  const marked = db.prepare("SELECT value FROM meta WHERE name = 'marked'").pluck().get() !== undefined;
  if (!marked) return IN_ORDER;
  const gone = mark.kind === 'none' ? 'is gone' : 'cannot be read';
  if (wal.framesBeyond === 0 && wal.why === null) {
    const note = `The mark beside the log ${gone}: that nothing is missing at its end cannot be shown.`;
    return { lost: null, doubt: 'no-mark', note };
  }
  const why = `the write-ahead log is damaged (${wal.why}), and the mark that says how far the log must reach ${gone}`;
  return { lost: { ...lostFrom(db, last), throughSequence: null, toMs: null, why }, doubt: null, note: null };
}

/** The number after which to go on where nobody knows how many rows are lost. */
export function atMostAfter(last: number, path: string): number {
  return last + readWal(path).slots * TICKS_A_COMMIT;
}

/** What to say of a log that ends before its mark, and how to mend it; null where it reaches as far as it must. */
export function shortOf(mark: FoundMark, lastSequence: number): string | null {
  if (mark.kind !== 'mark' || lastSequence >= mark.sequence) return null;
  return `the log is damaged: tick ${mark.sequence} was acknowledged, it can be read up to tick ${lastSequence} only. Start the controller: it keeps the damaged files under another name and goes on from the good part`;
}

function lostFrom(db: Database, last: number) {
  const fromMs = db.prepare('SELECT wall_ms FROM tick ORDER BY sequence DESC LIMIT 1').pluck().get();
  return { fromSequence: last + 1, fromMs: (fromMs as number | undefined) ?? null };
}

function againstMark(
  db: Database,
  last: number,
  mark: Extract<FoundMark, { kind: 'mark' }>,
  walWhy: string | null,
): Reach {
  if (last < mark.sequence) {
    const seen = walWhy === null ? '' : `; the write-ahead log: ${walWhy}`;
    const why = `tick ${mark.sequence} was acknowledged, the log can be read up to tick ${last} only${seen}`;
    const found = { ...lostFrom(db, last), throughSequence: mark.sequence, toMs: mark.wallMs, why };
    return { lost: found, doubt: null, note: null };
  }
  const stored = db.prepare('SELECT link FROM tick WHERE sequence = ?').pluck().get(mark.sequence);
  const link = stored ? hex(linkIn(stored as Uint8Array)) : null;
  if (link === null || mark.link === '' || link === mark.link) return IN_ORDER;
  const why = `tick ${mark.sequence} is not the one that was acknowledged: this is another log, or it was changed`;
  const note = `The log does not fit the mark beside it: ${why}. Check it with "bathkeeper verify".`;
  return { lost: null, doubt: 'other-log', note };
}

import type { BathkeeperError } from '../../shared/wire/errors.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import { JournalClient, type StartWorker } from './client.ts';
import type { SetAside } from './open.ts';
import type { Doubt } from './reach.ts';
import { startWorker } from './spawn.ts';

/** The name of the log within the data folder. */
export const JOURNAL_FILE = 'journal.sqlite';

export interface JournalOptions {
  /** The SQLite file; its folder is made where missing. */
  readonly path: string;
  readonly bootId: string;
  readonly codeVersion: string;
  readonly configJson: string;
  /** Demo time runs this many times faster than real time; 1 on a real rig. */
  readonly speed: number;
  /** Longest wait of a sample before it is committed, in real ms. Default 1500. */
  readonly commitEveryMs?: number;
  /** Wall clock at opening, for the name of a file set aside. Default: now. */
  readonly wallMs?: number;
}

/** What one commit brought: exactly the records committed now, in order. */
export interface Committed {
  readonly throughSequence: number;
  readonly records: readonly TickRecord[];
}

/** What was found at opening; `setAside` must be told to people. */
export interface OpenReport {
  readonly created: boolean;
  /** The number of the schema in use. */
  readonly schema: number;
  /** The last sequence on disk; the next tick is one above. */
  readonly lastSequence: number;
  /** Where a damaged log is kept, what was wrong, and which acknowledged rows are gone. */
  readonly setAside: SetAside | null;
  /** What should be told of it, or of a mark that is missing or of another log; null where all is in order. */
  readonly note: string | null;
  /** Set where nothing is known to be lost and yet nobody can show it. */
  readonly doubt: Doubt | null;
}

/** The durable log, write side. See controller/journal/README.md for what is on disk when. */
export interface Journal {
  readonly report: OpenReport;
  /**
   * Takes a record over; it must not be changed afterwards. Never blocks, never throws.
   * Records that must be durable are sent to the disk at once, others within `commitEveryMs`.
   */
  write(record: TickRecord): void;
  /** Keeps the state after the tick of that sequence; call it after `write` of that tick. */
  snapshot(sequence: number, stateJson: string): void;
  /** Calls back after each commit, in order. Gives the function that ends it. */
  onCommitted(listener: (committed: Committed) => void): () => void;
  /** Calls back when the log cannot be written; what is held is retried for as long as it takes. */
  onFailure(listener: (error: BathkeeperError) => void): () => void;
  /**
   * Age in real ms of the oldest record not on disk yet, 0 when there is none.
   * `nowMs` is of the same clock as `input.monotonicMs`; at `speed` 60 one real ms is 60 of it.
   */
  lagMs(nowMs: number): number;
  /** Resolves once all that was written before is on disk; rejects when an attempt fails meanwhile. */
  flush(): Promise<void>;
  /** Flushes, closes and frees the log. Rejects, closed all the same, where something could not be written. */
  close(): Promise<void>;
}

/**
 * Opens the log, as its only writer, in a worker thread. The file is checked and brought to the newest
 * schema; a damaged one is set aside (`report.setAside`). Rejects with `database-busy` where another
 * process writes to it, `database-missing` where the SQLite library cannot be loaded, and
 * `journal-failed` otherwise. `start` is for tests.
 */
export function openJournal(
  options: JournalOptions,
  start: StartWorker = () => startWorker('write-worker', import.meta.url, null),
): Promise<Journal> {
  return JournalClient.open(options, start);
}

import { mkdirSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { type Database, loadDriver } from './driver.ts';
import type { OpenReport } from './journal.ts';
import { MarkFile } from './mark.ts';
import { openAgain, openForWriting, untold } from './open.ts';
import { takeOwnership } from './owner.ts';
import { serveCalls } from './rpc.ts';
import { type Batch, type RunInfo, Store } from './store.ts';

/** What the worker is told when it is to open the log. */
export interface OpenCall extends RunInfo {
  readonly path: string;
  readonly wallMs: number;
  /** False where the same run opens again, because its first worker stopped. */
  readonly newRun: boolean;
}

interface Kept {
  readonly db: Database;
  readonly store: Store;
  readonly mark: MarkFile;
  readonly owner: { release(): void };
}
let kept: Kept | null = null;

async function open(call: OpenCall): Promise<OpenReport> {
  const driver = await loadDriver();
  mkdirSync(dirname(resolve(call.path)), { recursive: true });
  const owner = takeOwnership(driver, call.path);
  let db: Database | null = null;
  try {
    const opened = call.newRun
      ? openForWriting(driver, call.path, call.wallMs)
      : openAgain(driver, call.path);
    db = opened.db;
    const store = new Store(db, call.codeVersion);
    if (call.newRun) store.beginRun(call);
    const told = untold(db);
    const mark = new MarkFile(call.path);
    // A doubt is told again at each start until a tick has told it: until then the mark stays as it was found.
    if (opened.doubt === null) mark.set(store.reached);
    store.noteMarked();
    kept = { db, store, mark, owner };
    return {
      created: opened.created,
      schema: opened.schema,
      setAside: told?.setAside ?? null,
      note: told?.text ?? opened.note,
      doubt: told === null ? opened.doubt : null,
      lastSequence: store.lastSequence,
    };
  } catch (error) {
    db?.close();
    owner.release();
    throw error;
  }
}

/** The mark follows the commit: what is acknowledged is in the log, and the log is known to reach that far. */
function commit(batch: Batch): null {
  if (!kept) throw new Error('the log is not open');
  kept.store.commit(batch);
  if (batch.records.length > 0) kept.mark.set(kept.store.reached);
  return null;
}

/** Leaves one file behind: what is in the write-ahead log is moved into the database first. */
function close(): null {
  if (!kept) return null;
  const { db, mark, owner } = kept;
  kept = null;
  try {
    db.pragma('wal_checkpoint(TRUNCATE)');
  } finally {
    db.close();
    mark.close();
    owner.release();
  }
  return null;
}

serveCalls({ open, commit, close });

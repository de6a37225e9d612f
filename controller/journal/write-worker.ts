import { mkdirSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { type Database, loadDriver } from './driver.ts';
import type { OpenReport } from './journal.ts';
import { openForWriting } from './open.ts';
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
  readonly owner: { release(): void };
}
let kept: Kept | null = null;

async function open(call: OpenCall): Promise<OpenReport> {
  const driver = await loadDriver();
  mkdirSync(dirname(resolve(call.path)), { recursive: true });
  const owner = takeOwnership(driver, call.path);
  try {
    const { db, schema, created, setAside } = openForWriting(driver, call.path, call.wallMs);
    const store = new Store(db, call.codeVersion);
    if (call.newRun) store.beginRun(call);
    const report = { created, schema, setAside, lastSequence: store.lastSequence };
    if (setAside) noteSetAside(store, report, call.wallMs);
    kept = { db, store, owner };
    return report;
  } catch (error) {
    owner.release();
    throw error;
  }
}

function noteSetAside(store: Store, { lastSequence, setAside }: OpenReport, wallMs: number): void {
  const text = `The log was damaged (${setAside?.why}). It is kept as ${setAside?.path}; a new one was begun.`;
  const data = { path: setAside?.path, why: setAside?.why };
  store.note({ sequence: lastSequence, wallMs, cookId: null, kind: 'journal-set-aside', text, data });
}

function commit(batch: Batch): null {
  if (!kept) throw new Error('the log is not open');
  kept.store.commit(batch);
  return null;
}

/** Leaves one file behind: what is in the write-ahead log is moved into the database first. */
function close(): null {
  if (!kept) return null;
  const { db, owner } = kept;
  kept = null;
  try {
    db.pragma('wal_checkpoint(TRUNCATE)');
  } finally {
    db.close();
    owner.release();
  }
  return null;
}

serveCalls({ open, commit, close });

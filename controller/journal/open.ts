import { dirname, resolve } from 'node:path';
import { bytesOf, damageBeforeOpening, hasContent, setAside, syncFolder } from './damage.ts';
import { codeOf, type Database, type Driver, firstLine } from './driver.ts';
import { migrate, refuseNewer, schemaOf } from './migrate.ts';

/** How long a writer waits for a lock that a stray tool holds, before the attempt counts as failed, in ms. */
const BUSY_MS = 1000;
/** A checkpoint follows the commit that brings the write-ahead log to this many pages (4 MB). */
const CHECKPOINT_PAGES = 1000;
/** After a checkpoint the write-ahead log is cut back to this, should a long read have let it grow. */
const WAL_KEPT_BYTES = 8 * 1024 * 1024;
/** Added to the last known number when a log is set aside: more than the rows its lost end can hold. */
const SEQUENCE_MARGIN = 1_000_000;

/** Damage of the file itself, as against a disk that is full, read-only or failing. */
class Damaged extends Error {}

export interface Opened {
  readonly db: Database;
  readonly schema: number;
  readonly created: boolean;
  readonly setAside: { readonly path: string; readonly why: string } | null;
}

/**
 * Opens the log for writing, checked and at the newest schema. A damaged file is renamed and a new one
 * begun whose sequences go on above the old ones; nothing is ever overwritten. Call it as the owner only.
 */
export function openForWriting(driver: Driver, path: string, wallMs: number): Opened {
  const early = damageBeforeOpening(path);
  if (early !== null) return beginAnew(driver, path, wallMs, early);
  try {
    return { ...openChecked(driver, path), setAside: null };
  } catch (error) {
    if (!(error instanceof Damaged)) throw error;
    return beginAnew(driver, path, wallMs, error.message);
  }
}

function beginAnew(driver: Driver, path: string, wallMs: number, why: string): Opened {
  const base = lastKnownSequence(driver, path) + SEQUENCE_MARGIN;
  const kept = setAside(path, wallMs);
  const opened = openChecked(driver, path);
  opened.db.prepare("INSERT INTO meta VALUES ('base_sequence', ?)").run(String(base));
  return { ...opened, setAside: { path: kept, why } };
}

function openChecked(driver: Driver, path: string): Omit<Opened, 'setAside'> {
  const found = hasContent(path) ? checked(driver, path) : 0;
  const db = new driver(path, { timeout: BUSY_MS });
  try {
    prepare(db);
    const schema = migrate(db);
    if (found === 0) syncFolder(dirname(resolve(path)));
    return { db, schema, created: found === 0 };
  } catch (error) {
    db.close();
    throw asDamage(error);
  }
}

/**
 * Walks every page of the file and gives its schema number. Costs a read of the whole file, so it is done
 * once, at the start, before any heat. On a read-only connection, for closing a writing one would move
 * the write-ahead log into a file that may be damaged.
 */
function checked(driver: Driver, path: string): number {
  const db = new driver(path, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
  try {
    const schema = schemaOf(db);
    refuseNewer(db, schema);
    const found = db.pragma('quick_check(1)', { simple: true }) as string;
    if (found !== 'ok') throw new Damaged(found.split('\n', 2).join(' '));
    return schema;
  } catch (error) {
    throw asDamage(error);
  } finally {
    db.close();
  }
}

function asDamage(error: unknown): unknown {
  const code = codeOf(error);
  const damaged = code.startsWith('SQLITE_CORRUPT') || code === 'SQLITE_NOTADB';
  return damaged ? new Damaged(firstLine(error)) : error;
}

/**
 * `synchronous = FULL` makes a commit wait until the disk has the write-ahead log. It holds for every
 * class of record: with NORMAL a power cut may undo samples that the page has already shown, and their
 * sequences would then be given out a second time. Classes differ in how soon they are sent, not in how
 * safe a commit is.
 */
function prepare(db: Database): void {
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.pragma(`wal_autocheckpoint = ${CHECKPOINT_PAGES}`);
  db.pragma(`journal_size_limit = ${WAL_KEPT_BYTES}`);
  db.pragma('cell_size_check = ON');
  db.pragma('trusted_schema = OFF');
  db.pragma('temp_store = MEMORY');
  db.pragma('cache_size = -2000');
}

/** The last sequence of a damaged log as far as it can be read, else a number that it cannot have reached. */
function lastKnownSequence(driver: Driver, path: string): number {
  // Merely opening an empty database deletes the write-ahead log beside it.
  if (!hasContent(path)) return bytesOf(path);
  try {
    const db = new driver(path, { readonly: true, fileMustExist: true });
    try {
      return lastSequenceOf(db);
    } finally {
      db.close();
    }
  } catch {
    return bytesOf(path);
  }
}

/** The last committed sequence: of the last tick, or what a new log was told to begin after. */
export function lastSequenceOf(db: Database): number {
  const last = db.prepare('SELECT max(sequence) FROM tick').pluck().get() as number | null;
  if (last !== null) return last;
  const base = db.prepare("SELECT value FROM meta WHERE name = 'base_sequence'").pluck().get();
  return Number(base ?? 0);
}

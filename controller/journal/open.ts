import { dirname, resolve } from 'node:path';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { EventRow } from '../../shared/wire/rows.ts';
import {
  bytesOf,
  copyAside,
  damageBeforeOpening,
  hasContent,
  lastSetAside,
  setAside,
  syncFolder,
} from './damage.ts';
import { codeOf, type Database, type Driver, firstLine } from './driver.ts';
import { lastSequenceOf } from './last.ts';
import { readMark } from './mark.ts';
import { migrate, refuseNewer, schemaOf } from './migrate.ts';
import { atMostAfter, type Doubt, type LostRows, reachOf } from './reach.ts';

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

/** Where the damaged files are kept, and the acknowledged rows that cannot be read any more. */
export interface SetAside extends LostRows {
  readonly path: string;
}

export interface Opened {
  readonly db: Database;
  readonly schema: number;
  readonly created: boolean;
  /** Something to be told, though nothing is known to be lost; `doubt` names what it is. */
  readonly note: string | null;
  readonly doubt: Doubt | null;
}

/**
 * Opens the log for writing, checked and at the newest schema. A damaged file is renamed and a new one
 * begun whose sequences go on above the old ones; where only its end is lost, the files are copied under a dated name and
 * the log goes on from its good part. Nothing is ever overwritten. Call it as the owner only.
 */
export function openForWriting(driver: Driver, path: string, wallMs: number): Opened {
  const early = damageBeforeOpening(path) ?? goneAltogether(path);
  if (early !== null) return beginAnew(driver, path, wallMs, early);
  try {
    const found = hasContent(path) ? checked(driver, path) : null;
    if (found?.lost) return goOnShort(driver, path, wallMs, found.schema, found.lost);
    const { note = null, doubt = null } = found ?? {};
    return { ...openChecked(driver, path, found?.schema ?? 0), note, doubt };
  } catch (error) {
    if (!(error instanceof Damaged)) throw error;
    return beginAnew(driver, path, wallMs, error.message);
  }
}

/**
 * Opens a log again for the run that began on it, after its worker stopped. That run's numbers go on where they were, so
 * nothing may be begun anew or cut short here: what would be told at a start is an error, and every file stays as it is.
 */
export function openAgain(driver: Driver, path: string): Opened {
  const early = damageBeforeOpening(path) ?? goneAltogether(path);
  try {
    if (early !== null) throw new Damaged(early);
    if (!hasContent(path)) throw new Damaged('the log is gone');
    const { schema, lost, note, doubt } = checked(driver, path);
    if (lost) throw new Damaged(lost.why);
    return { ...openChecked(driver, path, schema), note, doubt };
  } catch (error) {
    if (!(error instanceof Damaged)) throw error;
    throw new BathkeeperError(
      'journal-failed',
      `(the log was damaged while the controller ran: ${error.message}. Nothing was changed. Start the controller again: it keeps the damaged files under another name and goes on)`,
    );
  }
}

/** There is no database, yet the mark says that ticks were acknowledged into one. */
function goneAltogether(path: string): string | null {
  return hasContent(path) ? null : emptyYetMarked(path);
}

function emptyYetMarked(path: string): string | null {
  const mark = readMark(path);
  if (mark.kind === 'unreadable') return 'the log is gone; a mark stands in its place and cannot be read';
  if (mark.kind === 'none') {
    const before = lastSetAside(path);
    return before && `there is no log; ${before} was set aside, and nothing has been recorded since`;
  }
  return mark.sequence === 0
    ? null
    : `the log is gone; the mark beside it says that it reached tick ${mark.sequence}`;
}

/** The end of the log is lost: the files as they are go under another name, what can be read is gone on with. */
function goOnShort(driver: Driver, path: string, wallMs: number, schema: number, lost: LostRows): Opened {
  const kept = copyAside(path, wallMs);
  const base = lost.throughSequence ?? atMostAfter(lost.fromSequence - 1, path);
  const opened = openChecked(driver, path, schema);
  const text = `The end of the log was damaged (${lost.why}). The files are kept as ${kept}; the log goes on from its good part.`;
  goOnAfter(opened.db, base, wallMs, text, { path: kept, ...lost });
  return { ...opened, note: null, doubt: null };
}

function beginAnew(driver: Driver, path: string, wallMs: number, why: string): Opened {
  const found = readMark(path);
  const mark = found.kind === 'mark' ? found : null;
  const base = Math.max(lastKnownSequence(driver, path), mark?.sequence ?? 0) + SEQUENCE_MARGIN;
  const kept = setAside(path, wallMs) ?? lastSetAside(path) ?? 'nowhere: no file of it is left';
  const opened = openChecked(driver, path, 0);
  const text = `The log was damaged (${why}). It is kept as ${kept}; a new one was begun.`;
  const through = { throughSequence: mark?.sequence ?? null, toMs: mark?.wallMs ?? null };
  const lost: LostRows = { fromSequence: 1, fromMs: null, ...through, why };
  goOnAfter(opened.db, base, wallMs, text, { path: kept, ...lost });
  return { ...opened, note: null, doubt: null };
}

/**
 * Numbers that were given out to people are not given out again, and what was lost is noted, both in one transaction:
 * it is told even where the next power cut comes before the next tick.
 */
function goOnAfter(db: Database, base: number, wallMs: number, text: string, data: SetAside): void {
  const event: EventRow = {
    sequence: base,
    wallMs,
    cookId: null,
    kind: 'journal-set-aside',
    text,
    data: { ...data },
  };
  db.transaction(() => {
    db.prepare("INSERT OR REPLACE INTO meta VALUES ('base_sequence', ?)").run(String(base));
    db.prepare('INSERT INTO event VALUES (0, ?, 0, ?)').run(base, JSON.stringify(event));
  }).immediate();
}

/** What was noted at an opening since the last tick, and is still to be told to people; null where nothing is. */
export function untold(db: Database): { readonly text: string; readonly setAside: SetAside } | null {
  const sql = `SELECT row FROM event WHERE cook = 0 AND sequence > coalesce((SELECT max(sequence) FROM tick), 0)
    ORDER BY sequence DESC LIMIT 1`;
  const row = db.prepare(sql).pluck().get() as string | undefined;
  if (row === undefined) return null;
  const event = JSON.parse(row) as EventRow;
  return { text: event.text, setAside: event.data as unknown as SetAside };
}

function openChecked(driver: Driver, path: string, found: number): Pick<Opened, 'db' | 'schema' | 'created'> {
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
function checked(driver: Driver, path: string): { schema: number } & ReturnType<typeof reachOf> {
  const db = new driver(path, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
  try {
    const schema = schemaOf(db);
    refuseNewer(db, schema);
    const found = db.pragma('quick_check(1)', { simple: true }) as string;
    if (found !== 'ok') throw new Damaged(found.split('\n', 2).join(' '));
    const gone = schema === 0 ? emptyYetMarked(path) : null;
    if (gone !== null) throw new Damaged(gone);
    return { schema, ...(schema === 0 ? { lost: null, note: null, doubt: null } : reachOf(db, path)) };
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

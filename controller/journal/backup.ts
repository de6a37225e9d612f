import { createHash } from 'node:crypto';
import { closeSync, createReadStream, existsSync, fsyncSync, openSync, renameSync, rmSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { BEGINNING, hex, same } from './chain.ts';
import { setAside, syncFolder } from './damage.ts';
import { type Database, type Driver, journalError, loadDriver } from './driver.ts';
import { lastSequenceOf } from './last.ts';
import { linkBefore } from './leaves.ts';
import { MarkFile, readMark } from './mark.ts';
import { refuseNewer, schemaOf } from './migrate.ts';
import { takeOwnership } from './owner.ts';
import { shortOf } from './reach.ts';

/** What a copy of the log was found to be. */
export interface CopyReport {
  readonly path: string;
  readonly bytes: number;
  readonly lastSequence: number;
  readonly cooks: number;
  readonly sha256: string;
}

/** How long a copy waits for a lock of the controller's, in ms. */
const BUSY_MS = 5000;

const failed = (detail: string) => new BathkeeperError('journal-failed', `(${detail})`);

/**
 * Copies a log, also one in use, to one file: SQLite's online backup under one read lock, so that the copy is one moment
 * and the controller goes on writing. The copy is checked whole, then gets its name. Never overwrites.
 * Rejects with `journal-failed` where the target exists, cannot be written, or the copy is not sound.
 */
export async function backupLog(path: string, target: string): Promise<CopyReport> {
  if (existsSync(target))
    throw failed(`${target} exists already; give another name. Nothing was overwritten`);
  const driver = await loadDriver();
  const part = `${target}.part`;
  // Read before the log: the controller may go on meanwhile.
  const mark = readMark(path);
  try {
    rmSync(part, { force: true });
    const db = new driver(path, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
    try {
      // All pages in one step: with many, each commit of the controller would make it begin again.
      await db.backup(part, { progress: () => 0x7fffffff });
    } finally {
      db.close();
    }
    const found = seal(driver, part);
    const short = shortOf(mark, found.lastSequence);
    if (short !== null) throw failed(short);
    const sha256 = await digestOf(part);
    if (existsSync(target)) throw failed(`${target} has come to be meanwhile. Nothing was overwritten`);
    renameSync(part, target);
    syncFolder(dirname(resolve(target)));
    return { path: target, ...found, sha256 };
  } catch (error) {
    rmSync(part, { force: true });
    throw journalError(error, 'backup');
  }
}

/** Makes the copy one file that needs no other beside it, checks every page of it, and puts it on disk. */
function seal(driver: Driver, path: string) {
  const db = new driver(path, { fileMustExist: true });
  try {
    db.pragma('journal_mode = DELETE');
    const found = soundness(db);
    return found;
  } finally {
    db.close();
    syncFile(path);
  }
}

/** Throws where the file is not a whole and sound log of ours that this version reads. */
function soundness(db: Database) {
  const schema = schemaOf(db);
  if (schema === 0) throw failed(`${db.name} is empty: there is no log in it`);
  refuseNewer(db, schema);
  const found = db.pragma('integrity_check(1)', { simple: true }) as string;
  if (found !== 'ok') throw failed(`${db.name} is damaged: ${found.split('\n', 1)[0]}`);
  const pages = db.pragma('page_count', { simple: true }) as number;
  const bytes = pages * (db.pragma('page_size', { simple: true }) as number);
  const cooks = db.prepare('SELECT count(*) FROM cook').pluck().get() as number;
  return { bytes, lastSequence: lastSequenceOf(db), cooks };
}

/** What a restore did. */
export interface RestoreReport extends CopyReport {
  /** The log that was there before, under its new name; null where there was none. */
  readonly putAside: string | null;
}

/**
 * Puts a backup in the place of a log. Rejects with `database-busy` while a controller runs on it, and with
 * `journal-failed` where the backup is not sound (then nothing was touched), or where a log is there and `putAside` is
 * false. The log that was there is renamed with all its parts, never overwritten.
 */
export async function restoreLog(
  backup: string,
  path: string,
  options: { readonly putAside: boolean; readonly wallMs: number },
): Promise<RestoreReport> {
  if (!existsSync(backup)) throw failed(`there is no file ${backup}`);
  const driver = await loadDriver();
  const owner = takeOwnership(driver, path);
  const part = `${path}.restoring`;
  try {
    const there = ['', '-wal', '-mark'].some((one) => existsSync(path + one));
    if (there && !options.putAside) {
      throw failed(`there is a log at ${path}. Say --put-aside to keep it under another name and go on`);
    }
    rmSync(part, { force: true });
    const from = new driver(backup, { readonly: true, fileMustExist: true, timeout: BUSY_MS });
    try {
      soundness(from);
      await from.backup(part, { progress: () => 0x7fffffff });
    } finally {
      from.close();
    }
    const found = seal(driver, part);
    const sha256 = await digestOf(part);
    const putAside = there ? setAside(path, options.wallMs, 'before-restore') : null;
    renameSync(part, path);
    syncFolder(dirname(resolve(path)));
    markAnew(driver, path);
    return { path, ...found, sha256, putAside };
  } catch (error) {
    rmSync(part, { force: true });
    throw journalError(error, 'restore');
  } finally {
    owner.release();
  }
}

/** The restored log reaches as far as the backup did, and no further. */
function markAnew(driver: Driver, path: string): void {
  const db = new driver(path, { readonly: true, fileMustExist: true });
  try {
    const sequence = lastSequenceOf(db);
    const wallMs = db.prepare('SELECT wall_ms FROM tick ORDER BY sequence DESC LIMIT 1').pluck().get();
    const link = linkBefore(db, sequence + 1);
    const mark = new MarkFile(path);
    mark.set({ sequence, wallMs: Number(wallMs ?? 0), link: same(link, BEGINNING) ? '' : hex(link) });
    mark.close();
  } finally {
    db.close();
  }
}

function syncFile(path: string): void {
  const handle = openSync(path, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

async function digestOf(path: string): Promise<string> {
  const hash = createHash('sha256');
  for await (const piece of createReadStream(path)) hash.update(piece as Buffer);
  return hash.digest('hex');
}

import {
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  fsyncSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';

/**
 * A log is these files together; the first is the database, the others may hold what is not in it yet, and the mark says
 * how far it must reach (`mark.ts`).
 */
const PARTS = ['', '-wal', '-shm', '-mark'] as const;
/** The mark is copied and stays: a new log may not come to be at once, and what is gone must still be told then. */
const MARK = '-mark';

function sizeOf(path: string): number {
  return statSync(path, { throwIfNoEntry: false })?.size ?? 0;
}

/**
 * What can be seen to be wrong before SQLite opens the file, or null. An empty or missing database
 * beside a filled write-ahead log must be caught here: SQLite would take it for new and delete the rows
 * in that log.
 */
export function damageBeforeOpening(path: string): string | null {
  if (sizeOf(path) > 0 || sizeOf(`${path}-wal`) === 0) return null;
  return `${existsSync(path) ? 'the database is empty' : 'the database is missing'}, yet its write-ahead log holds ${sizeOf(`${path}-wal`)} bytes`;
}

/** True where there is a database file that is not empty. */
export function hasContent(path: string): boolean {
  return sizeOf(path) > 0;
}

/** Bytes in all the parts of a log: more than any tick number it can hold, when nothing else can be read. */
export function bytesOf(path: string): number {
  return PARTS.reduce((sum, part) => sum + sizeOf(path + part), 0);
}

/** A name beside the log that no file has, with the day and `why` in it. */
function freeName(path: string, wallMs: number, why: string): string {
  const stamp = new Date(wallMs).toISOString().replaceAll(':', '-').slice(0, 19);
  const stem = path.replace(/\.sqlite$/, '');
  let target = `${stem}.${why}-${stamp}Z.sqlite`;
  for (let n = 2; PARTS.some((part) => existsSync(target + part)); n += 1) {
    target = `${stem}.${why}-${stamp}Z-${n}.sqlite`;
  }
  return target;
}

/**
 * Renames a log with its parts, so that what it holds can still be had, and gives its new path; null where there was
 * nothing but a mark. `why` goes in the name.
 * The mark is copied and stays, so that a power cut or a full disk before the next log is begun hides nothing. Never takes
 * a name that is in use. The folder is synced, so a power cut cannot undo half of it.
 */
export function setAside(path: string, wallMs: number, why = 'damaged'): string | null {
  const target = freeName(path, wallMs, why);
  const there = PARTS.filter((part) => existsSync(path + part));
  if (there.includes(MARK)) copySynced([[path + MARK, target + MARK]]);
  const renamed = there.filter((part) => part !== MARK);
  for (const part of renamed) renameSync(path + part, target + part);
  syncFolder(dirname(path));
  return renamed.length === 0 ? null : target;
}

/** The newest log beside this one that was set aside as damaged; null where there is none. */
export function lastSetAside(path: string): string | null {
  const folder = dirname(resolve(path));
  if (!existsSync(folder)) return null;
  const stem = `${basename(path).replace(/\.sqlite$/, '')}.damaged-`;
  const names = readdirSync(folder).filter((name) => name.startsWith(stem) && name.endsWith('.sqlite'));
  const [newest] = names.sort().reverse();
  return newest === undefined ? null : join(folder, newest);
}

/**
 * Copies a log with all its parts under a dated name and gives that. For a log whose good part is gone on with: what
 * could not be read of it stays to be had. Throws where the copy cannot be made; then nothing was changed.
 */
export function copyAside(path: string, wallMs: number, why = 'damaged'): string {
  const target = freeName(path, wallMs, why);
  // The index of the write-ahead log is made anew from it.
  const there = PARTS.filter((part) => part !== '-shm' && existsSync(path + part));
  copySynced(there.map((part) => [path + part, target + part]));
  syncFolder(dirname(path));
  return target;
}

/** Copies files under names that are free. On a disk that becomes full no part is left: starts that fail must not fill it. */
function copySynced(pairs: readonly (readonly [from: string, to: string])[]): void {
  const made: string[] = [];
  try {
    for (const [from, to] of pairs) {
      copyFileSync(from, to, constants.COPYFILE_EXCL);
      made.push(to);
      const handle = openSync(to, 'r+');
      try {
        fsyncSync(handle);
      } finally {
        closeSync(handle);
      }
    }
  } catch (error) {
    // The name was free a moment ago, so the one that failed is ours too, unless somebody took it meanwhile.
    const [, failing] = pairs[made.length] ?? [];
    const taken = (error as { code?: string }).code === 'EEXIST';
    for (const to of failing && !taken ? [...made, failing] : made) rmSync(to, { force: true });
    throw error;
  }
}

/** Makes renames and new names in a folder survive a power cut. Does nothing where the system cannot (Windows). */
export function syncFolder(folder: string): void {
  if (process.platform === 'win32') return;
  const handle = openSync(folder, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

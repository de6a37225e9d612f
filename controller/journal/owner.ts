import { BathkeeperError } from '../../shared/wire/errors.ts';
import { codeOf, type Driver } from './driver.ts';

/** How long a start waits for the last owner to let go, in ms: one that is just closing is no error. */
const HANDOVER_MS = 500;

/**
 * Makes this process the only writer of a log: holds SQLite's exclusive lock on a small database beside
 * it. The operating system frees that lock when the process dies, however it dies, so nothing stale is
 * ever left; and the log itself stays open for readers. Throws `database-busy` where another holds it.
 */
export function takeOwnership(driver: Driver, journalPath: string): { release(): void } {
  const lock = new driver(`${journalPath}-owner`, { timeout: HANDOVER_MS });
  try {
    // Nothing is ever written to it, so it needs no rollback file beside it.
    lock.pragma('journal_mode = MEMORY');
    lock.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    lock.close();
    if (codeOf(error).startsWith('SQLITE_BUSY')) {
      throw new BathkeeperError('database-busy', `(${journalPath})`);
    }
    throw error;
  }
  return { release: () => void lock.close() };
}

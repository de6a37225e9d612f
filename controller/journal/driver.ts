import type BetterSqlite3 from 'better-sqlite3';
import { BathkeeperError } from '../../shared/wire/errors.ts';

export type Database = BetterSqlite3.Database;
export type Statement = BetterSqlite3.Statement;
export type Driver = typeof BetterSqlite3;

/**
 * Loads the SQLite library. It is an optional dependency, for it must be fetched prebuilt or compiled:
 * where it cannot be loaded this rejects with `database-missing`, whose action is the line to run.
 */
export async function loadDriver(name = 'better-sqlite3'): Promise<Driver> {
  try {
    const loaded = (await import(name)) as { default: Driver };
    // The native half is only loaded by the first connection.
    new loaded.default(':memory:').close();
    return loaded.default;
  } catch (error) {
    throw new BathkeeperError('database-missing', `(${firstLine(error)})`);
  }
}

/** The code that SQLite or the system gave an error, or '' where it has none. */
export function codeOf(error: unknown): string {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === 'string' ? code : '';
}

/** The first line of an error's message. */
export function firstLine(error: unknown): string {
  const text = error instanceof Error ? error.message : String(error);
  return text.split('\n', 1)[0] ?? '';
}

/** Turns whatever went wrong with the log into an error of the registry; one that is already stays as it is. */
export function journalError(error: unknown, doing: string): BathkeeperError {
  if (error instanceof BathkeeperError) return error;
  const code = codeOf(error);
  return new BathkeeperError('journal-failed', `(${doing}: ${firstLine(error)}${code ? `, ${code}` : ''})`);
}

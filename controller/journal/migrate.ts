import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { Database } from './driver.ts';
import { MIGRATIONS } from './schema.ts';

/** Marks the file as ours ("Bath" in ASCII), so that a stranger's database is never written to. */
export const APPLICATION_ID = 0x42617468;

export interface Migration {
  readonly number: number;
  readonly sql: string;
}

/** The number of the newest schema that this code knows. */
export const SCHEMA_NUMBER = MIGRATIONS.length;

/** The number of the schema a file has; 0 = empty. Throws `journal-failed` where the file is not a log of ours. */
export function schemaOf(db: Database): number {
  const number = db.pragma('user_version', { simple: true }) as number;
  const owner = db.pragma('application_id', { simple: true }) as number;
  const tables = db.prepare('SELECT count(*) FROM sqlite_master').pluck().get() as number;
  if (owner === APPLICATION_ID || (owner === 0 && number === 0 && tables === 0)) return number;
  throw new BathkeeperError(
    'journal-failed',
    `(${db.name} is a database of another program. Expected a log of this controller: move that file away, or give another data folder)`,
  );
}

/** Throws `journal-failed` where the file was written by newer code: guessing at its meaning would spoil it. */
export function refuseNewer(db: Database, number: number, known: number = SCHEMA_NUMBER): void {
  if (number <= known) return;
  throw new BathkeeperError(
    'journal-failed',
    `(${db.name} has schema ${number}, this version knows schemas up to ${known}. Install the newer version again, or give another data folder)`,
  );
}

/**
 * Brings a file to the newest schema, one number after another, each in a transaction of its own:
 * a power cut leaves the file at a whole number. Gives the number it ends at.
 */
export function migrate(db: Database, migrations: readonly Migration[] = MIGRATIONS): number {
  const found = schemaOf(db);
  refuseNewer(db, found, migrations.length);
  for (const migration of migrations.slice(found)) {
    db.transaction(() => {
      db.exec(migration.sql);
      db.pragma(`application_id = ${APPLICATION_ID}`);
      db.pragma(`user_version = ${migration.number}`);
    }).immediate();
  }
  return Math.max(found, migrations.length);
}

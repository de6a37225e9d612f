import type { Database } from './driver.ts';

/** The last tick that is in the log; null where there is none. */
export function lastTickOf(db: Database): number | null {
  return db.prepare('SELECT max(sequence) FROM tick').pluck().get() as number | null;
}

/** The last sequence given out: of the last tick, or what the log was told to begin after, if that is more. */
export function lastSequenceOf(db: Database): number {
  const base = db.prepare("SELECT value FROM meta WHERE name = 'base_sequence'").pluck().get();
  return Math.max(lastTickOf(db) ?? 0, Number(base ?? 0));
}

import type { CookRow } from '../../shared/wire/record.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { unpackText } from './codec.ts';
import type { Database } from './driver.ts';
import type { Resume } from './reader.ts';

/**
 * What a restart goes on from: the newest whole state that can be read, and every input after it. A row that cannot be
 * read, though SQLite finds the file sound, keeps no controller from starting: it is left out and counted as missing, and
 * the chain names it (`verifyTail`).
 */
export function tailOf(db: Database, lastSequence: number): Resume {
  const snapshot = newestReadable(db, lastSequence);
  const firstTick = db.prepare('SELECT min(sequence) FROM tick').pluck().get() as number | null;
  const after = snapshot?.sequence ?? (firstTick ?? lastSequence + 1) - 1;
  const packed = db.prepare('SELECT input FROM tick WHERE sequence > ? ORDER BY sequence').pluck().all(after);
  const inputs = packed.flatMap((bytes) => readable<TickInput>(() => unpackText(bytes as Uint8Array)) ?? []);
  const cook = newestCook(db);
  const wallMs = db.prepare('SELECT wall_ms FROM tick ORDER BY sequence DESC LIMIT 1').pluck().get();
  return {
    snapshot,
    inputs,
    missing: lastSequence - after - inputs.length,
    lastSequence,
    runningCook: cook?.endedAtMs === null ? cook : null,
    lastWallMs: (wallMs as number | undefined) ?? null,
  };
}

function newestReadable(db: Database, lastSequence: number): Resume['snapshot'] {
  const rows = db
    .prepare('SELECT sequence, state, code_version FROM snapshot WHERE sequence <= ? ORDER BY sequence DESC')
    .iterate(lastSequence) as Iterable<{ sequence: number; state: Uint8Array; code_version: string }>;
  for (const { sequence, state, code_version } of rows) {
    let stateJson = '';
    const read = () => {
      stateJson = unpackText(state);
      return stateJson;
    };
    if (readable<object>(read) !== null) return { sequence, stateJson, codeVersion: code_version };
  }
  return null;
}

function newestCook(db: Database): CookRow | null {
  const sql =
    'SELECT row FROM cook_version WHERE cook = (SELECT max(cook) FROM cook_version) ORDER BY sequence DESC';
  for (const row of db.prepare(sql).pluck().iterate() as Iterable<string>) {
    const cook = readable<CookRow>(() => row);
    if (cook !== null) return cook;
  }
  return null;
}

/** Data from its text; null where there is none to be had. */
export function readable<T>(text: () => string): T | null {
  try {
    return JSON.parse(text()) as T;
  } catch {
    return null;
  }
}

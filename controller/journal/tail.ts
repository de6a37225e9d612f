import type { CookRow } from '../../shared/wire/record.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { unpackText } from './codec.ts';
import type { Database } from './driver.ts';
import { lastTickOf } from './last.ts';
import type { Resume } from './reader.ts';

/**
 * What a restart goes on from: the newest whole state that can be read, and every input after it. A row that cannot be
 * read, though SQLite finds the file sound, keeps no controller from starting: it is left out and counted as missing, and
 * the chain names it (`verifyTail`). `mostSequence`: a state kept after a later tick is not taken.
 */
export function tailOf(db: Database, lastSequence: number, mostSequence = lastSequence): Resume {
  const snapshot = newestReadable(db, Math.min(lastSequence, mostSequence));
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

interface Kept {
  readonly sequence: number;
  readonly state: Uint8Array;
  readonly code_version: string;
  readonly after_sequence: number;
}

function newestReadable(db: Database, lastSequence: number): Resume['snapshot'] {
  const lastTick = lastTickOf(db) ?? 0;
  const sql = `SELECT sequence, state, code_version, after_sequence FROM snapshot WHERE sequence <= ?
    ORDER BY sequence DESC`;
  const rows = db.prepare(sql).iterate(lastSequence) as Iterable<Kept>;
  for (const { sequence, state, code_version, after_sequence } of rows) {
    let stateJson = '';
    const read = () => {
      stateJson = unpackText(state);
      return stateJson;
    };
    if (readable<object>(read) === null) continue;
    return { sequence, stateJson, codeVersion: code_version, sealed: lastTick > after_sequence };
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

import { BathkeeperError } from '../../shared/wire/errors.ts';
import { unpackText } from './codec.ts';
import type { Database } from './driver.ts';

/** Which ticks hold the rows of a cook. */
export interface ChainRange {
  readonly first: number;
  /** 0 where there are none. */
  readonly last: number;
  /** Ticks up to this one were recorded before there was a chain. */
  readonly chainAfter: number;
  /** Where the range that the log keeps of the cook is not that of its rows: what differs. */
  readonly fault: string | null;
}

const TABLES = ['tick', 'cook_version', 'bag_version', 'event', 'alarm', 'command'] as const;

/**
 * The range of a cook's rows (null: of the whole log), found from the rows themselves and not from what the log keeps
 * beside them. Reads every row's head, so its time grows with the log. @throws BathkeeperError `cook-unknown`
 */
export function chainRange(db: Database, cookId: string | null): ChainRange {
  const value = (sql: string, ...parameters: unknown[]) =>
    db
      .prepare(sql)
      .pluck()
      .get(...parameters) as number | null | undefined;
  const chainAfter = Number(value("SELECT value FROM meta WHERE name = 'chain_after'") ?? 0);
  if (cookId === null) {
    const ends = db.prepare('SELECT min(sequence) AS first, max(sequence) AS last FROM tick').get();
    const { first, last } = ends as { first: number | null; last: number | null };
    return { first: first ?? 1, last: last ?? 0, chainAfter, fault: null };
  }
  const kept = db
    .prepare('SELECT cook, first_sequence AS first, last_sequence AS last FROM cook WHERE cook_id = ?')
    .get(cookId) as { cook: number; first: number; last: number | null } | undefined;
  if (!kept) throw unknownCook(cookId);
  const ends = (what: 'min' | 'max', tables: readonly string[]) => {
    const found = tables.map((table) =>
      value(`SELECT ${what}(sequence) FROM ${table} WHERE cook = ?`, kept.cook),
    );
    return found.filter((one): one is number => one !== null && one !== undefined);
  };
  const first = Math.min(kept.first, ...ends('min', TABLES));
  const last = Math.max(kept.first, ...ends('max', TABLES));
  const lastTick = ends('max', ['tick'])[0] ?? kept.first;
  const wrong =
    first !== kept.first ||
    !ends('min', TABLES).includes(first) ||
    (kept.last !== null && kept.last !== lastTick);
  const fault = wrong
    ? `it is kept as ticks ${kept.first} to ${kept.last ?? 'the end'}, its rows are of ticks ${first} to ${lastTick}`
    : null;
  return { first, last, chainAfter, fault };
}

/** A row of a tier as it is kept; `text` is null where it cannot be unpacked. */
export interface KeptTier {
  readonly firstSequence: number;
  readonly lastSequence: number;
  readonly startMs: number;
  readonly text: string | null;
}

/** The rows of one tier of a cook, in their order, as they are on disk. @throws BathkeeperError `cook-unknown` */
export function keptTiers(db: Database, cookId: string, widthS: number): KeptTier[] {
  const cook = db.prepare('SELECT cook FROM cook WHERE cook_id = ?').pluck().get(cookId);
  if (cook === undefined) throw unknownCook(cookId);
  const sql = `SELECT first_sequence AS firstSequence, last_sequence AS lastSequence, start_ms AS startMs, row
    FROM tier WHERE cook = ? AND width_s = ? ORDER BY first_sequence`;
  const rows = db.prepare(sql).all(cook, widthS) as (Omit<KeptTier, 'text'> & { row: Uint8Array })[];
  return rows.map(({ row, ...place }) => ({ ...place, text: textOf(row) }));
}

function textOf(packed: Uint8Array): string | null {
  try {
    return unpackText(packed);
  } catch {
    return null;
  }
}

/** The refusal of an id that no cook has. */
export function unknownCook(cookId: string): BathkeeperError {
  return new BathkeeperError('cook-unknown', `(no cook "${cookId.slice(0, 80)}")`);
}

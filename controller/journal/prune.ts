import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { CookRow } from '../../shared/wire/record.ts';
import { type Database, type Driver, journalError, loadDriver } from './driver.ts';
import { lastSequenceOf } from './last.ts';
import { readMark } from './mark.ts';
import { migrate } from './migrate.ts';
import { takeOwnership } from './owner.ts';
import { shortOf } from './reach.ts';

const DAY_MS = 86_400_000;

/** What is taken out, or would be. */
export interface PrunePlan {
  readonly keepDays: number;
  /** What ended before this is past its retention. Counted back from the newest tick, or now where that is earlier. */
  readonly beforeMs: number;
  readonly cooks: readonly { readonly cookId: string; readonly name: string; readonly endedAtMs: number }[];
  /** Ticks of those cooks, and ticks outside any cook. */
  readonly ticks: number;
  readonly applied: boolean;
  readonly bytesBefore: number;
  readonly bytesAfter: number;
}

interface Span {
  readonly first: number;
  readonly last: number;
}

/**
 * The rule of retention. A cook is taken out whole, with its summaries and states, once it has ended and its end and
 * every tick of it lie more than `keepDays` before the newest tick; ticks outside any cook likewise. A cook that runs or
 * is within its retention stays whole, with the state before it and all ticks from there on, so that it can be replayed;
 * so does all from the newest state on, which a restart needs. Without `apply` nothing is changed.
 * Rejects with `database-busy` while a controller runs on the log.
 */
export async function pruneLog(
  path: string,
  options: { readonly keepDays: number; readonly nowMs: number; readonly apply: boolean },
): Promise<PrunePlan> {
  const { keepDays, nowMs, apply } = options;
  const driver = await loadDriver();
  const owner = takeOwnership(driver, path);
  try {
    refuseShort(driver, path);
    const db = new driver(path, { fileMustExist: true, timeout: 1000 });
    try {
      const found = db.pragma('quick_check(1)', { simple: true });
      if (found !== 'ok')
        throw new BathkeeperError('journal-failed', `(${path} is damaged: nothing was taken out)`);
      migrate(db);
      const bytesBefore = bytesOf(db);
      const planned = plan(db, keepDays, nowMs);
      if (apply) db.transaction(() => take(db, planned, nowMs)).immediate();
      if (apply) db.exec('VACUUM; PRAGMA wal_checkpoint(TRUNCATE)');
      const { beforeMs, cooks, ticks } = planned;
      return { keepDays, beforeMs, cooks, ticks, applied: apply, bytesBefore, bytesAfter: bytesOf(db) };
    } finally {
      db.close();
    }
  } catch (error) {
    throw journalError(error, 'prune');
  } finally {
    owner.release();
  }
}

/** A log whose end is lost is set right at a start of the controller, not here: opened for writing, it would forget it. */
function refuseShort(driver: Driver, path: string): void {
  const db = new driver(path, { readonly: true, fileMustExist: true });
  try {
    const short = shortOf(readMark(path), lastSequenceOf(db));
    if (short !== null) throw new BathkeeperError('journal-failed', `(${short})`);
  } finally {
    db.close();
  }
}

const bytesOf = (db: Database) =>
  (db.pragma('page_count', { simple: true }) as number) *
  (db.pragma('page_size', { simple: true }) as number);

function plan(db: Database, keepDays: number, nowMs: number) {
  // A clock that is ahead must not make cooks old: age is counted from the newest tick on record.
  const newestMs = db.prepare('SELECT wall_ms FROM tick ORDER BY sequence DESC LIMIT 1').pluck().get() as
    | number
    | undefined;
  const beforeMs = Math.min(nowMs, newestMs ?? nowMs) - keepDays * DAY_MS;
  const all = cooksOf(db);
  const past = ({ row, lastMs }: CookSpan) =>
    row?.endedAtMs != null && Math.max(row.endedAtMs, lastMs) < beforeMs;
  const end = lastSequenceOf(db);
  const kept: Span[] = [{ first: stateBefore(db, end), last: Number.MAX_SAFE_INTEGER }];
  for (const one of all.filter((cook) => !past(cook))) {
    kept.push({ first: stateBefore(db, one.first), last: one.last });
  }
  // A cook that reaches into what is kept stays whole.
  const needed = (one: Span) => kept.some((span) => span.first <= one.last && one.first <= span.last);
  const [staying, old] = [
    all.filter((one) => past(one) && needed(one)),
    all.filter((one) => past(one) && !needed(one)),
  ];
  kept.push(...staying);
  const numbers = old.map(({ cook }) => cook);
  const spans = between(kept, end).flatMap((span) => oldPart(db, span, beforeMs, numbers));
  const cooks = old
    .filter((one) => spans.some((span) => span.first <= one.first && one.last <= span.last))
    .map(({ row, cook }) => ({
      cook,
      cookId: row?.cookId ?? '',
      name: row?.name ?? '',
      endedAtMs: row?.endedAtMs ?? 0,
    }));
  const count = db.prepare('SELECT count(*) FROM tick WHERE sequence BETWEEN ? AND ?').pluck();
  const ticks = spans.reduce((sum, { first, last }) => sum + (count.get(first, last) as number), 0);
  return { beforeMs, cooks, spans, ticks };
}

interface CookSpan extends Span {
  readonly cook: number;
  readonly row: CookRow | null;
  /** Wall clock of its latest tick. */
  readonly lastMs: number;
}

const TABLES = ['tick', 'cook_version', 'bag_version', 'event', 'alarm', 'command'];

/** Every cook with the ticks that its rows belong to; the tick that ends a cook stands outside it, yet has rows of it. */
function cooksOf(db: Database): CookSpan[] {
  const rows = db.prepare('SELECT cook, first_sequence AS first FROM cook').all() as {
    cook: number;
    first: number;
  }[];
  const newest = db
    .prepare('SELECT row FROM cook_version WHERE cook = ? ORDER BY sequence DESC LIMIT 1')
    .pluck();
  const latest = db.prepare('SELECT max(wall_ms) FROM tick WHERE cook = ?').pluck();
  const ends = TABLES.map((table) => db.prepare(`SELECT max(sequence) FROM ${table} WHERE cook = ?`).pluck());
  return rows.map(({ cook, first }) => {
    const text = newest.get(cook) as string | undefined;
    const row = text === undefined ? null : (JSON.parse(text) as CookRow);
    const last = Math.max(first, ...ends.map((end) => (end.get(cook) as number | null) ?? 0));
    return { cook, first, last, row, lastMs: (latest.get(cook) as number | null) ?? 0 };
  });
}

/** The tick after the newest state kept before that one: from there a replay begins. 1 where there is no state. */
function stateBefore(db: Database, sequence: number): number {
  const sql = 'SELECT max(sequence) FROM snapshot WHERE sequence < ?';
  return ((db.prepare(sql).pluck().get(sequence) as number | null) ?? 0) + 1;
}

/** What lies between the spans that are kept, up to the end. */
function between(kept: readonly Span[], end: number): Span[] {
  const free: Span[] = [];
  let from = 1;
  for (const { first, last } of [...kept].sort((a, b) => a.first - b.first)) {
    if (first - 1 >= from) free.push({ first: from, last: Math.min(end, first - 1) });
    from = Math.max(from, last + 1);
  }
  return free;
}

/** The beginning of a span, up to the first tick that is neither of an old cook nor itself past its retention. */
function oldPart(db: Database, { first, last }: Span, beforeMs: number, old: readonly number[]): Span[] {
  const list = old.length > 0 ? `AND cook NOT IN (${old.join(',')})` : '';
  const sql = `SELECT min(sequence) FROM tick WHERE sequence BETWEEN ? AND ? AND wall_ms >= ? ${list}`;
  const young = db.prepare(sql).pluck().get(first, last, beforeMs) as number | null;
  const end = young === null ? last : young - 1;
  return end >= first ? [{ first, last: end }] : [];
}

function take(db: Database, { spans, cooks }: ReturnType<typeof plan>, nowMs: number): void {
  for (const { first, last } of spans) {
    const found = db
      .prepare(
        'SELECT count(*) AS ticks, min(sequence) AS first, max(sequence) AS last FROM tick WHERE sequence BETWEEN ? AND ?',
      )
      .get(first, last) as { ticks: number; first: number | null; last: number | null };
    if (found.first === null) continue;
    const link = db.prepare('SELECT link FROM tick WHERE sequence = ?').pluck().get(found.last);
    db.prepare('INSERT INTO pruned VALUES (?, ?, ?, ?, ?)').run(
      found.first,
      found.last,
      found.ticks,
      nowMs,
      link,
    );
    for (const table of ['tick', 'cook_version', 'bag_version', 'event', 'alarm', 'command']) {
      db.prepare(`DELETE FROM ${table} WHERE sequence BETWEEN ? AND ?`).run(found.first, found.last);
    }
    // A state is sealed by the tick after it: one that a kept tick seals stays.
    db.prepare('DELETE FROM snapshot WHERE coalesce(after_sequence, sequence) BETWEEN ? AND ?').run(
      found.first,
      (found.last ?? 0) - 1,
    );
  }
  for (const { cook } of cooks) {
    for (const table of ['tier', 'cook_version', 'bag_version', 'event', 'alarm', 'command', 'cook']) {
      db.prepare(`DELETE FROM ${table} WHERE cook = ?`).run(cook);
    }
  }
}

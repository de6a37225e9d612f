import type { Sample } from '../../shared/wire/rows.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { BEGINNING, commandText, type LeafKind, leafOf, linkIn } from './chain.ts';
import { unpackText } from './codec.ts';
import type { Database } from './driver.ts';

/** One leaf as it is found on disk now. */
export interface FoundLeaf {
  readonly kind: LeafKind;
  readonly cookId: string | null;
  readonly digest: Uint8Array;
  /** Where the row is, in words. */
  readonly row: string;
  /** What is wrong with the row as such, where that can be seen without the chain. */
  readonly fault: string | null;
}

/** A tick with its stored link (null: recorded before there was a chain) and the leaves of what is on disk. */
export interface FoundLink {
  readonly sequence: number;
  /** The link that this one follows on. */
  readonly before: Uint8Array;
  readonly stored: Uint8Array | null;
  readonly leaves: readonly FoundLeaf[];
}

interface TickRow {
  readonly sequence: number;
  readonly cook: number;
  readonly wall_ms: number;
  readonly input: Uint8Array;
  readonly sample: Uint8Array;
  readonly link: Uint8Array | null;
}
interface Between {
  readonly sequence: number;
  readonly leaf: FoundLeaf;
}
type Names = ReadonlyMap<number, string>;

/** The link that the tick of that sequence, or the next there is, follows on; zeros at the beginning of the chain. */
export function linkBefore(db: Database, sequence: number): Uint8Array {
  const tick = db
    .prepare('SELECT sequence, link FROM tick WHERE sequence < ? ORDER BY sequence DESC LIMIT 1')
    .get(sequence) as { sequence: number; link: Uint8Array | null } | undefined;
  const pruned = db
    .prepare(
      'SELECT last_sequence AS sequence, link FROM pruned WHERE last_sequence < ? ORDER BY last_sequence DESC LIMIT 1',
    )
    .get(sequence) as typeof tick;
  const nearest = (pruned?.sequence ?? -1) > (tick?.sequence ?? -1) ? pruned : tick;
  return nearest?.link ? linkIn(nearest.link) : BEGINNING;
}

/** The sequence of the last tick before that one, whether it is still on disk or was pruned; 0 where there is none. */
function sequenceBefore(db: Database, sequence: number): number {
  const sql = `SELECT max(coalesce((SELECT max(sequence) FROM tick WHERE sequence < ?), 0),
    coalesce((SELECT max(last_sequence) FROM pruned WHERE last_sequence < ?), 0))`;
  return db.prepare(sql).pluck().get(sequence, sequence) as number;
}

/**
 * Leaves of what was kept since the last tick, up to the last sequence given out: runs and snapshots (`first`), and events
 * of the log itself (`notes`), which a new log has and one that lost its end.
 */
export function sealedByNext(
  db: Database,
  lastSequence: number,
): { first: Uint8Array[]; notes: Uint8Array[] } {
  const names = namesOf(db);
  const lastTick = sequenceBefore(db, lastSequence + 1);
  const first = [...runs(db, lastTick, lastSequence), ...snapshots(db, names, lastTick, lastSequence)];
  const notes = lastTick < lastSequence ? texts(db, names, 'event', lastTick, lastSequence) : [];
  return { first: first.map(({ leaf }) => leaf.digest), notes: notes.map(({ leaf }) => leaf.digest) };
}

/**
 * The ticks after a sequence, at most `limit`, with the leaves of all that is on disk for them now. A row between two
 * ticks counts for the later one, so that a row put in afterwards shows.
 */
export function foundLinks(db: Database, after: number, through: number, limit: number): FoundLink[] {
  const ticks = db
    .prepare('SELECT * FROM tick WHERE sequence > ? AND sequence <= ? ORDER BY sequence LIMIT ?')
    .all(after, through, limit) as TickRow[];
  const first = ticks[0];
  const last = ticks.at(-1);
  if (!first || !last) return [];
  const names = namesOf(db);
  const from = sequenceBefore(db, first.sequence);
  // Runs and snapshots stand after the tick before; all else within the tick's own number.
  const tables = ['cook', 'bag', 'event', 'alarm', 'command'] as const;
  const lists = [
    // Each list is in the order of its ticks, and is taken from in that order: so runs and states stand apart.
    ...[runs(db, from, last.sequence - 1), snapshots(db, names, from, last.sequence - 1)].map((list) =>
      list.map(({ sequence, leaf }) => ({ sequence: sequence + 1, leaf })),
    ),
    ...tables.map((table) => texts(db, names, table, from, last.sequence)),
  ];
  const taken = lists.map(() => 0);
  const beforeOf = linksBefore(db, ticks);
  return ticks.map((tick, index) => {
    const leaves = tickLeaves(tick, names);
    for (const [n, list] of lists.entries()) {
      for (let at = taken[n] ?? 0; at < list.length; at += 1) {
        const one = list[at];
        if (!one || one.sequence > tick.sequence) break;
        leaves.push(one.leaf);
        taken[n] = at + 1;
      }
    }
    return { sequence: tick.sequence, before: beforeOf(index), stored: tick.link, leaves };
  });
}

/** The link before each of these ticks: of the tick before, or of the last one that was pruned between them. */
function linksBefore(db: Database, ticks: readonly TickRow[]): (index: number) => Uint8Array {
  const pruned = db.prepare('SELECT last_sequence AS sequence, link FROM pruned').all() as {
    sequence: number;
    link: Uint8Array | null;
  }[];
  const first = linkBefore(db, ticks[0]?.sequence ?? 0);
  return (index) => {
    const [previous, tick] = [ticks[index - 1], ticks[index]];
    if (!previous || !tick) return first;
    const between = pruned.find((one) => one.sequence > previous.sequence && one.sequence < tick.sequence);
    const { link } = between ?? previous;
    return link ? linkIn(link) : BEGINNING;
  };
}

function namesOf(db: Database): Names {
  const rows = db.prepare('SELECT cook, cook_id AS id FROM cook').all() as { cook: number; id: string }[];
  return new Map(rows.map(({ cook, id }) => [cook, id]));
}

function tickLeaves(tick: TickRow, names: Names): FoundLeaf[] {
  const { sequence, input, sample, wall_ms } = tick;
  const cookId = tick.cook === 0 ? null : (names.get(tick.cook) ?? `(cook number ${tick.cook})`);
  const told = readable<TickInput>(input);
  const seen = readable<Sample>(sample);
  const misplaced = (found: { sequence: number; wallMs: number } | null) =>
    found && (found.sequence !== sequence || found.wallMs !== wall_ms)
      ? `it says tick ${found.sequence} at ${found.wallMs} ms, but stands under tick ${sequence} at ${wall_ms} ms`
      : null;
  return [
    {
      kind: 'input',
      cookId: null,
      digest: leafOf('input', null, input, sample),
      row: `the input of tick ${sequence}`,
      fault: told.fault ?? misplaced(told.value),
    },
    {
      kind: 'sample',
      cookId,
      digest: leafOf('sample', cookId, seen.text),
      row: `the sample of tick ${sequence}`,
      fault: seen.fault ?? misplaced(seen.value),
    },
  ];
}

function readable<T>(packed: Uint8Array): { text: string; value: T | null; fault: string | null } {
  try {
    const text = unpackText(packed);
    return { text, value: JSON.parse(text) as T, fault: null };
  } catch (error) {
    return { text: '', value: null, fault: `it cannot be read (${(error as Error).message})` };
  }
}

function runs(db: Database, from: number, to: number): Between[] {
  const sql = `SELECT run, boot_id, code_version, speed, after_sequence, config_json FROM run
    WHERE after_sequence >= ? AND after_sequence <= ? ORDER BY after_sequence, run`;
  const found = db.prepare(sql).all(from, to) as { run: number; after_sequence: number }[];
  return found.map((one) => ({
    sequence: one.after_sequence,
    leaf: leaf(
      'run',
      null,
      `the run ${one.run} that began after tick ${one.after_sequence}`,
      JSON.stringify(one),
    ),
  }));
}

function snapshots(db: Database, names: Names, from: number, to: number): Between[] {
  const sql = `SELECT sequence, cook, code_version, state, after_sequence FROM snapshot
    WHERE after_sequence >= ? AND after_sequence <= ? ORDER BY after_sequence, sequence`;
  const found = db.prepare(sql).all(from, to) as {
    sequence: number;
    cook: number;
    code_version: string;
    state: Uint8Array;
    after_sequence: number;
  }[];
  return found.map(({ sequence, cook, code_version, state, after_sequence }) => ({
    sequence: after_sequence,
    leaf: leaf(
      'snapshot',
      names.get(cook) ?? null,
      `the state kept after tick ${sequence}`,
      String(sequence),
      code_version,
      state,
    ),
  }));
}

const TABLES = {
  cook: 'SELECT cook, sequence, row, 0 AS ordinal FROM cook_version',
  bag: 'SELECT cook, sequence, row, bag_id AS ordinal FROM bag_version',
  event: 'SELECT cook, sequence, row, ordinal FROM event',
  alarm: 'SELECT cook, sequence, row, ordinal FROM alarm',
  command: 'SELECT cook, sequence, row, ordinal, wall_ms FROM command',
} as const;

/** Rows kept as text, after one tick and up to another, in the order they were written. */
function texts(db: Database, names: Names, kind: keyof typeof TABLES, after: number, to: number): Between[] {
  const sql = `SELECT * FROM (${TABLES[kind]}) WHERE sequence > ? AND sequence <= ? ORDER BY sequence, ordinal`;
  const found = db.prepare(sql).all(after, to) as TextRow[];
  return found.map((one) => {
    const { sequence, row, ordinal } = one;
    const place =
      kind === 'cook' ? '' : ` (${typeof ordinal === 'number' ? `number ${ordinal + 1}` : ordinal})`;
    const text = kind === 'command' ? commandText(sequence, one.wall_ms ?? Number.NaN, row) : row;
    const made = leaf(kind, names.get(one.cook) ?? null, `the ${kind} row${place} of tick ${sequence}`, text);
    return { sequence, leaf: { ...made, fault: misfiled(one) } };
  });
}

interface TextRow {
  readonly cook: number;
  readonly sequence: number;
  readonly row: string;
  readonly ordinal: number | string;
  readonly wall_ms?: number;
}

/** A row must say the same as the columns that it is found by. */
function misfiled({ row, ordinal }: TextRow): string | null {
  try {
    const { bagId } = JSON.parse(row) as { bagId?: unknown };
    return typeof ordinal === 'string' && bagId !== ordinal
      ? `it is of bag ${bagId}, but stands under bag ${ordinal}`
      : null;
  } catch (error) {
    return `it cannot be read (${(error as Error).message})`;
  }
}

function leaf(
  kind: LeafKind,
  cookId: string | null,
  row: string,
  ...content: readonly (string | Uint8Array)[]
): FoundLeaf {
  return { kind, cookId, digest: leafOf(kind, cookId, ...content), row, fault: null };
}

import type { BagVersion, CommandRow, CookVersion, RunRow } from '../../shared/wire/export.ts';
import type { AlarmRow, BagRow, CookRow } from '../../shared/wire/record.ts';
import type { EventRow, Sample, TierRow } from '../../shared/wire/rows.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { type ChainRange, chainRange, type KeptTier, keptTiers, unknownCook } from './chain-range.ts';
import { unpack } from './codec.ts';
import { type Database, firstLine } from './driver.ts';
import { stateBefore, textOr, unreadableInput } from './kept-states.ts';
import { lastSequenceOf } from './last.ts';
import { type FoundLink, foundLinks } from './leaves.ts';
import type { CookDetail, Recorded, ReplayPlan, Resume, RunConfig } from './reader.ts';
import { tailOf } from './tail.ts';

/** A cook's number and the ticks it can lie within. */
interface Range {
  readonly cook: number;
  readonly first: number;
  readonly last: number;
}
export interface PageCall {
  readonly cookId: string | null;
  readonly after: number;
  readonly limit: number;
  readonly through: number;
}
export interface TierCall {
  readonly cookId: string;
  readonly widthS: number;
  readonly fromMs: number;
  readonly toMs: number;
}

const LATEST_COOK_ROW = 'SELECT row FROM cook_version WHERE cook = ? ORDER BY sequence DESC LIMIT 1';

/** The read side on an open database, in the worker. */
export class Queries {
  readonly #db: Database;

  constructor(db: Database) {
    this.#db = db;
  }

  lastSequence(): number {
    return lastSequenceOf(this.#db);
  }

  resume(mostSequence: number): Resume {
    return tailOf(this.#db, this.lastSequence(), mostSequence);
  }

  cooks(): CookRow[] {
    const numbers = this.#values<number>('SELECT cook FROM cook ORDER BY cook');
    return numbers.flatMap((cook) => {
      const row = this.#value<string>(LATEST_COOK_ROW, cook);
      return row === undefined ? [] : [JSON.parse(row) as CookRow];
    });
  }

  cook(cookId: string): CookDetail {
    const { cook, first, last } = this.#range(cookId);
    const row = this.#value<string>(LATEST_COOK_ROW, cook);
    if (row === undefined) throw unknownCook(cookId);
    return {
      cook: JSON.parse(row) as CookRow,
      bags: this.#bags(cook),
      cookVersions: this.#versions<CookVersion>('cook_version', 'sequence', cook),
      bagVersions: this.#versions<BagVersion>('bag_version', 'sequence, bag_id', cook),
      alarms: this.#rows<AlarmRow>('SELECT row FROM alarm WHERE cook = ? ORDER BY sequence, ordinal', cook),
      events: this.events({ cookId, after: 0 }),
      commands: this.#commands(cook),
      runs: this.#runs(first, Math.min(last, this.lastSequence())),
    };
  }

  events({ cookId, after }: { cookId: string | null; after: number }): EventRow[] {
    const { cook } = this.#range(cookId);
    const sql = 'SELECT row FROM event WHERE cook = ? AND sequence > ? ORDER BY sequence, ordinal';
    return this.#rows<EventRow>(sql, cook, after);
  }

  samples(call: PageCall): Sample[] {
    return this.#page<Sample>('sample', call);
  }

  inputs(call: PageCall): TickInput[] {
    return this.#page<TickInput>('input', call);
  }

  inputAt(sequence: number): TickInput | null {
    const packed = this.#value<Uint8Array>('SELECT input FROM tick WHERE sequence = ?', sequence);
    return packed === undefined ? null : unpack<TickInput>(packed);
  }

  /** Where a replay of a cook begins and ends, and what changed on the way; `from`: not before the last state by that tick. */
  replayPlan({ cookId, from }: { cookId: string; from: number }): ReplayPlan {
    const { first, last } = this.#range(cookId);
    const through = Math.min(last, this.lastSequence());
    const before = from > 0 ? Math.min(from, through) : first;
    const runs = this.#db
      .prepare(
        'SELECT after_sequence AS afterSequence, code_version AS codeVersion, config_json AS configJson FROM run ORDER BY run',
      )
      .all() as ReplayPlan['runs'];
    return {
      firstSequence: first,
      throughSequence: through,
      snapshot: stateBefore(this.#db, before, through),
      runs,
    };
  }

  /** What was recorded of the ticks after `after`, at most `limit` of them. */
  recorded({ after, limit, through }: { after: number; limit: number; through: number }): Recorded[] {
    const ticks = this.#db
      .prepare(
        'SELECT sequence, input, sample FROM tick WHERE sequence > ? AND sequence <= ? ORDER BY sequence LIMIT ?',
      )
      .all(after, through, limit) as { sequence: number; input: Uint8Array; sample: Uint8Array }[];
    const end = ticks.at(-1)?.sequence ?? after;
    const texts = (table: 'event' | 'alarm' | 'command') => {
      const found = this.#db
        .prepare(
          `SELECT sequence, row FROM ${table} WHERE sequence > ? AND sequence <= ? ORDER BY sequence, ordinal`,
        )
        .all(after, end) as { sequence: number; row: string }[];
      return grouped(found);
    };
    const [events, alarms, commands] = [texts('event'), texts('alarm'), texts('command')];
    const states = this.#db
      .prepare('SELECT sequence, state FROM snapshot WHERE sequence > ? AND sequence <= ?')
      .all(after, end) as { sequence: number; state: Uint8Array }[];
    const stateAt = new Map(states.map((one) => [one.sequence, textOr(one.state)]));
    const rows = (map: Map<number, { row: string }[]>, at: number) =>
      (map.get(at) ?? []).map(({ row }) => row);
    return ticks.map(({ sequence, input, sample }) => ({
      input: this.#input(sequence, input, through),
      sample: textOr(sample),
      events: rows(events, sequence),
      alarms: rows(alarms, sequence),
      commands: rows(commands, sequence),
      stateJson: stateAt.get(sequence) ?? null,
    }));
  }

  #input(sequence: number, packed: Uint8Array, through: number): TickInput {
    try {
      return unpack<TickInput>(packed);
    } catch (error) {
      throw unreadableInput(this.#db, sequence, through, firstLine(error));
    }
  }

  /** Ticks after a sequence, of whatever cook, with what the chain says of them. */
  links({ after, through, limit }: { after: number; through: number; limit: number }): FoundLink[] {
    return foundLinks(this.#db, after, through, limit);
  }

  chainRange(cookId: string | null): ChainRange {
    return chainRange(this.#db, cookId);
  }

  keptTiers({ cookId, widthS }: { cookId: string; widthS: number }): KeptTier[] {
    return keptTiers(this.#db, cookId, widthS);
  }

  tiers({ cookId, widthS, fromMs, toMs }: TierCall): TierRow[] {
    const { cook } = this.#range(cookId);
    const sql = `SELECT row FROM tier WHERE cook = ? AND width_s = ? AND start_ms >= ? AND start_ms < ?
      ORDER BY first_sequence`;
    return this.#values<Uint8Array>(sql, cook, widthS, fromMs, toMs).map((bytes) => unpack<TierRow>(bytes));
  }

  #page<T>(column: 'sample' | 'input', { cookId, after, limit, through }: PageCall): T[] {
    const { cook, first, last } = this.#range(cookId);
    const sql = `SELECT ${column} FROM tick WHERE sequence > ? AND sequence <= ? AND cook = ?
      ORDER BY sequence LIMIT ?`;
    const from = Math.max(after, first - 1);
    const to = Math.min(through, last);
    return this.#values<Uint8Array>(sql, from, to, cook, limit).map((bytes) => unpack<T>(bytes));
  }

  /** The newest version of each bag, in the order the bags came. */
  #bags(cook: number): BagRow[] {
    const sql = `SELECT row, min(sequence) OVER (PARTITION BY bag_id) AS came, sequence,
      max(sequence) OVER (PARTITION BY bag_id) AS newest FROM bag_version WHERE cook = ?`;
    return this.#rows<BagRow>(
      `SELECT row FROM (${sql}) WHERE sequence = newest ORDER BY came, json_extract(row, '$.bagId')`,
      cook,
    );
  }

  #versions<T>(table: 'cook_version' | 'bag_version', order: string, cook: number): T[] {
    const sql = `SELECT sequence, row FROM ${table} WHERE cook = ? ORDER BY ${order}`;
    const found = this.#db.prepare(sql).all(cook) as { sequence: number; row: string }[];
    return found.map(({ sequence, row }) => ({ sequence, row: JSON.parse(row) }) as T);
  }

  #commands(cook: number): CommandRow[] {
    const sql = 'SELECT sequence, wall_ms, row FROM command WHERE cook = ? ORDER BY sequence, ordinal';
    const found = this.#db.prepare(sql).all(cook) as { sequence: number; wall_ms: number; row: string }[];
    return found.map(({ sequence, wall_ms, row }) => ({ sequence, wallMs: wall_ms, ...JSON.parse(row) }));
  }

  configs(cookId: string): RunConfig[] {
    const { first, last } = this.#range(cookId);
    const columns = 'after_sequence AS afterSequence, config_json AS configJson';
    return this.#runsWith<RunConfig>(columns, first, Math.min(last, this.lastSequence()));
  }

  #runs(first: number, last: number): RunRow[] {
    const columns = 'boot_id AS bootId, code_version AS codeVersion, speed, after_sequence AS afterSequence';
    return this.#runsWith<RunRow>(columns, first, last);
  }

  /** The runs of the controller that ticks of that range came from. */
  #runsWith<T>(columns: string, first: number, last: number): T[] {
    const sql = `SELECT ${columns}
      FROM (SELECT *, lead(after_sequence) OVER (ORDER BY run) AS until FROM run)
      WHERE after_sequence < ? AND (until IS NULL OR until >= max(?, after_sequence + 1)) ORDER BY run`;
    return this.#db.prepare(sql).all(last, first) as T[];
  }

  #range(cookId: string | null): Range {
    if (cookId === null) return { cook: 0, first: 0, last: Number.MAX_SAFE_INTEGER };
    const sql = 'SELECT cook, first_sequence AS first, last_sequence AS last FROM cook WHERE cook_id = ?';
    const found = this.#get<{ cook: number; first: number; last: number | null }>(sql, cookId);
    if (!found) throw unknownCook(cookId);
    return { ...found, last: found.last ?? Number.MAX_SAFE_INTEGER };
  }

  #get<T>(sql: string, ...parameters: unknown[]): T | undefined {
    return this.#db.prepare(sql).get(...parameters) as T | undefined;
  }

  #value<T>(sql: string, ...parameters: unknown[]): T | undefined {
    return this.#db
      .prepare(sql)
      .pluck()
      .get(...parameters) as T | undefined;
  }

  #values<T>(sql: string, ...parameters: unknown[]): T[] {
    return this.#db
      .prepare(sql)
      .pluck()
      .all(...parameters) as T[];
  }

  #rows<T>(sql: string, ...parameters: unknown[]): T[] {
    return this.#values<string>(sql, ...parameters).map((row) => JSON.parse(row) as T);
  }
}

/** Rows by their sequence, in their order. */
function grouped(rows: readonly { sequence: number; row: string }[]): Map<number, { row: string }[]> {
  const map = new Map<number, { row: string }[]>();
  for (const one of rows) {
    const list = map.get(one.sequence);
    if (list) list.push(one);
    else map.set(one.sequence, [one]);
  }
  return map;
}

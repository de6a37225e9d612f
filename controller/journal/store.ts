import type { TickRecord } from '../../shared/wire/record.ts';
import type { Sample, TierRow } from '../../shared/wire/rows.ts';
import { TIERS_S } from '../../shared/wire/rows.ts';
import { BEGINNING, commandText, hex, leafOf, linkOf, same, storedLink } from './chain.ts';
import { pack, packText, unpackText } from './codec.ts';
import type { Database } from './driver.ts';
import { lastSequenceOf, lastTickOf } from './last.ts';
import { lastOfEach } from './last-of-each.ts';
import { linkBefore, sealedByNext } from './leaves.ts';
import type { Mark } from './mark.ts';
import { type Statements, statements } from './statements.ts';
import { readable } from './tail.ts';
import { addSample, type Buckets, closeAll, NO_BUCKETS } from './tiers.ts';

/** What is committed together or not at all. */
export interface Batch {
  readonly records: readonly TickRecord[];
  readonly snapshots: readonly { readonly sequence: number; readonly stateJson: string }[];
}

/** Who runs the controller, for the row of this run. */
export interface RunInfo {
  readonly bootId: string;
  readonly codeVersion: string;
  readonly configJson: string;
  readonly speed: number;
}

/** Where the log stands: taken over only when the transaction that moved it has been committed. */
interface Position {
  readonly lastSequence: number;
  /** Wall clock of the last tick; 0 where there is none. */
  readonly lastWallMs: number;
  /** The cook that the last tick belonged to, 0 = none. */
  readonly cook: number;
  readonly buckets: Buckets;
  /** The link of the last tick. */
  readonly link: Uint8Array;
  /** True where a run, a snapshot or a note has been kept since, which the next link must seal. */
  readonly unsealed: boolean;
}

/** The write side on an open database, in the worker. Throws what SQLite throws; then nothing was written. */
export class Store {
  readonly #db: Database;
  readonly #sql: Statements;
  readonly #codeVersion: string;
  #position: Position;

  constructor(db: Database, codeVersion: string) {
    this.#db = db;
    this.#sql = statements(db);
    this.#codeVersion = codeVersion;
    this.#position = this.#recover();
  }

  get lastSequence(): number {
    return this.#position.lastSequence;
  }

  /** Notes that the controller was started, with what code and configuration. */
  beginRun(run: RunInfo): void {
    this.#sql.run.run(run.bootId, run.codeVersion, run.speed, this.lastSequence, run.configJson);
    this.#position = { ...this.#position, unsealed: true };
  }

  /** The last tick, for the mark: its sequence, wall clock and link. */
  get reached(): Mark {
    const { lastSequence, lastWallMs, link } = this.#position;
    return { sequence: lastSequence, wallMs: lastWallMs, link: same(link, BEGINNING) ? '' : hex(link) };
  }

  /** From now on a log without a mark beside it is known to have lost it. */
  noteMarked(): void {
    this.#sql.marked.run();
  }

  /**
   * Commits a batch; when this returns, it is on disk. Records up to the last committed sequence are
   * passed over: they are there already, from an attempt whose answer was lost.
   */
  commit(batch: Batch): void {
    const commit = this.#db.transaction(() => {
      let position = this.#position;
      for (const record of batch.records) {
        if (record.sample.sequence > position.lastSequence) position = this.#write(record, position);
      }
      for (const { sequence, stateJson } of batch.snapshots) {
        const cook = (this.#sql.cookOfTick.get(sequence) as number | undefined) ?? position.cook;
        const after = position.lastSequence;
        this.#sql.snapshot.run(sequence, cook, this.#codeVersion, packText(stateJson), after);
        position = { ...position, unsealed: true };
      }
      return position;
    });
    this.#position = commit.immediate();
  }

  #write(record: TickRecord, before: Position): Position {
    const { sequence, wallMs } = record.sample;
    const cook = this.#numberOf(record.cookId, sequence);
    let { buckets } = before;
    if (cook !== before.cook) {
      this.#leave(before);
      if (cook !== 0) this.#sql.enterCook.run(cook);
      buckets = NO_BUCKETS;
    }
    if (cook !== 0) {
      const added = addSample(buckets, record.sample);
      this.#writeTiers(cook, added.closed);
      buckets = added.buckets;
    }
    const input = pack(record.input);
    const text = JSON.stringify(record.sample);
    const sample = packText(text);
    const between = before.unsealed ? sealedByNext(this.#db, before.lastSequence) : NOTHING_BETWEEN;
    const rows = this.#writeRows(record, sequence, wallMs);
    const leaves = [
      leafOf('input', null, input, sample),
      leafOf('sample', record.cookId, text),
      ...between.first,
      ...rows.versions,
      ...between.notes,
      ...rows.happened,
    ];
    const link = linkOf(before.link, sequence, leaves);
    this.#sql.tick.run(sequence, cook, wallMs, input, sample, storedLink(link, leaves));
    return { lastSequence: sequence, lastWallMs: wallMs, cook, buckets, link, unsealed: false };
  }

  #leave(before: Position): void {
    if (before.cook === 0) return;
    this.#writeTiers(before.cook, closeAll(before.buckets));
    this.#sql.leaveCook.run(before.lastSequence, before.cook);
  }

  /** Keeps what a tick brought beside its sample, and gives the leaves of it in the order of the chain. */
  #writeRows(record: TickRecord, sequence: number, wallMs: number) {
    const of = (cookId: string | null) => this.#numberOf(cookId, sequence);
    const { cook } = record;
    const versions: Uint8Array[] = [];
    if (cook) {
      const text = JSON.stringify(cook);
      this.#sql.cookVersion.run(of(cook.cookId), sequence, text);
      versions.push(leafOf('cook', cook.cookId, text));
    }
    for (const bag of lastOfEach(record.bags)) {
      const text = JSON.stringify(bag);
      this.#sql.bagVersion.run(of(bag.cookId), bag.bagId, sequence, text);
      versions.push(leafOf('bag', bag.cookId, text));
    }
    const happened: Uint8Array[] = [];
    for (const [n, event] of record.events.entries()) {
      const text = JSON.stringify(event);
      this.#sql.event.run(of(event.cookId), sequence, n, text);
      happened.push(leafOf('event', event.cookId, text));
    }
    for (const [n, alarm] of record.alarms.entries()) {
      const text = JSON.stringify(alarm);
      this.#sql.alarm.run(of(alarm.cookId), sequence, n, text);
      happened.push(leafOf('alarm', alarm.cookId, text));
    }
    const cookId = cook?.cookId ?? record.cookId;
    for (const [n, command] of record.commands.entries()) {
      const text = JSON.stringify(command);
      this.#sql.command.run(of(cookId), sequence, n, wallMs, text);
      happened.push(leafOf('command', cookId, commandText(sequence, wallMs, text)));
    }
    return { versions, happened };
  }

  #writeTiers(cook: number, rows: readonly TierRow[]): void {
    for (const row of rows) {
      this.#sql.tier.run(cook, row.widthS, row.firstSequence, row.lastSequence, row.startMs, pack(row));
    }
  }

  /** The number of a cook, given out when it is first heard of. */
  #numberOf(cookId: string | null, sequence: number): number {
    if (cookId === null) return 0;
    const known = this.#sql.cookNumber.get(cookId) as number | undefined;
    return known ?? Number(this.#sql.newCook.run(cookId, sequence, sequence).lastInsertRowid);
  }

  /** Where the last run stopped, with the unfinished buckets computed again from their samples. */
  #recover(): Position {
    const lastSequence = lastSequenceOf(this.#db);
    const lastTick = lastTickOf(this.#db);
    const cook = (this.#sql.cookOfTick.get(lastTick ?? 0) as number | undefined) ?? 0;
    const lastWallMs = (this.#sql.wallOfTick.get(lastTick ?? 0) as number | undefined) ?? 0;
    const link = linkBefore(this.#db, lastSequence + 1);
    const at = { lastSequence, lastWallMs, cook, link, unsealed: true };
    if (cook === 0) return { ...at, buckets: NO_BUCKETS };
    const buckets = TIERS_S.map((widthS, index) => {
      const from = this.#sql.tierEnd.get(cook, widthS, cook) as number;
      let open: Buckets = NO_BUCKETS;
      for (const packed of this.#sql.samplesAfter.iterate(from, cook)) {
        const sample = readable<Sample>(() => unpackText(packed as Uint8Array));
        if (sample !== null) open = addSample(open, sample).buckets;
      }
      return open[index] ?? null;
    });
    return { ...at, buckets };
  }
}

const NOTHING_BETWEEN = { first: [], notes: [] } as const;

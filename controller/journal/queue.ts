import { mustBeDurable, type TickRecord } from '../../shared/wire/record.ts';
import type { Batch } from './store.ts';

/** How much is held in memory while the disk does not take it. */
export interface Bounds {
  /** Records that hold samples only: two hours. Beyond it the oldest of them are left out. */
  readonly samples: number;
  /** Records with commands, alarms or decisions. Beyond it nothing more is taken at all. */
  readonly durable: number;
  /** Records in one commit, so that handing them over never holds up the tick for long. */
  readonly batch: number;
  /** Snapshots; the newest are kept, for one is enough to go on from. */
  readonly snapshots: number;
}
export const BOUNDS: Bounds = { samples: 7200, durable: 20_000, batch: 200, snapshots: 4 };

/**
 * Records on their way to the disk, in order: those sent and not yet confirmed, then those waiting.
 * What must be durable is never dropped once taken. When even that bound is reached the queue refuses
 * everything from then on, so that nothing after the hole can be confirmed by mistake.
 */
export class HoldQueue {
  readonly #bounds: Bounds;
  #sent: Batch | null = null;
  #waiting: TickRecord[] = [];
  #snapshots: Batch['snapshots'] = [];
  #durableWaiting = 0;
  #leftOut = 0;
  #refusedSinceMs: number | null = null;

  constructor(bounds: Bounds = BOUNDS) {
    this.#bounds = bounds;
  }

  /** Records left out at the bound so far. */
  get leftOut(): number {
    return this.#leftOut;
  }

  get refusing(): boolean {
    return this.#refusedSinceMs !== null;
  }

  get empty(): boolean {
    return this.#sent === null && this.#waiting.length === 0 && this.#snapshots.length === 0;
  }

  /** True where a record or snapshot up to that sequence is not on disk. */
  holds(through: number): boolean {
    if (this.#sent !== null || this.#snapshots.some(({ sequence }) => sequence <= through)) return true;
    return (this.#waiting[0]?.sample.sequence ?? Number.POSITIVE_INFINITY) <= through;
  }

  /** True where something waits that must not wait for more to come. */
  get urgent(): boolean {
    return this.#durableWaiting > 0 || this.#waiting.length >= this.#bounds.batch;
  }

  /** `monotonicMs` of the oldest record that is not on disk, or null. */
  get oldestMs(): number | null {
    const oldest = this.#sent?.records[0] ?? this.#waiting[0];
    return oldest?.input.monotonicMs ?? this.#refusedSinceMs;
  }

  /** Takes a record over, if need be in the place of the oldest that holds samples only. */
  push(record: TickRecord): void {
    const durable = mustBeDurable(record);
    if (this.refusing || (durable && this.#durableWaiting >= this.#bounds.durable)) {
      this.#refusedSinceMs ??= record.input.monotonicMs;
      this.#leftOut += 1;
      return;
    }
    this.#waiting.push(record);
    if (durable) this.#durableWaiting += 1;
    if (this.#waiting.length - this.#durableWaiting <= this.#bounds.samples) return;
    const oldest = this.#waiting.findIndex((held) => !mustBeDurable(held));
    this.#waiting.splice(oldest, 1);
    this.#leftOut += 1;
  }

  pushSnapshot(sequence: number, stateJson: string): void {
    this.#snapshots = [...this.#snapshots, { sequence, stateJson }].slice(-this.#bounds.snapshots);
  }

  /** What to commit next: the batch that failed, or the oldest that wait; null when nothing does. */
  take(): Batch | null {
    if (this.#sent || this.empty) return this.#sent;
    const records = this.#waiting.splice(0, this.#bounds.batch);
    this.#durableWaiting -= records.filter(mustBeDurable).length;
    const last = records.at(-1)?.sample.sequence ?? Number.POSITIVE_INFINITY;
    const ready = (snapshot: { sequence: number }) => this.#waiting.length === 0 || snapshot.sequence <= last;
    this.#sent = { records, snapshots: this.#snapshots.filter(ready) };
    this.#snapshots = this.#snapshots.filter((snapshot) => !ready(snapshot));
    return this.#sent;
  }

  /** The batch that was taken is on disk. */
  confirm(): void {
    this.#sent = null;
  }
}

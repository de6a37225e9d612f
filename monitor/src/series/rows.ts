import type { BagSample } from '../../../shared/wire/rows.ts';

/** One row of any width: a raw sample is a row of 1 s with min = mean = max. Temperatures in degrees C. */
export interface Row {
  readonly startMs: number;
  readonly first: number;
  readonly last: number;
  readonly count: number;
  readonly minC: number | null;
  readonly meanC: number | null;
  readonly maxC: number | null;
  readonly setpointC: number | null;
  readonly duty: number;
  readonly bags: readonly BagSample[];
}

export interface BagColumns {
  readonly coreC: Float32Array;
  readonly coldC: Float32Array;
  readonly hotC: Float32Array;
}

/** More bags than a bath holds at once, because those taken out stay in the picture. */
export const MAX_BAG_COLUMNS = 16;

/**
 * Rows of one width in columns, in order of sequence, with a bounded length: the oldest go first.
 * NaN in a column is "no value". Times are kept rising: where the wall clock was set back, what came
 * before is moved back with it, so that the newest clock is the one the chart is read by.
 */
export class Rows {
  readonly widthMs: number;
  readonly keep: number;
  length = 0;
  /** Start of the bucket as sent, before any move. */
  readonly key: Float64Array;
  readonly startMs: Float64Array;
  readonly first: Float64Array;
  readonly last: Float64Array;
  readonly count: Float64Array;
  readonly minC: Float32Array;
  readonly meanC: Float32Array;
  readonly maxC: Float32Array;
  readonly setpointC: Float32Array;
  readonly duty: Float32Array;
  readonly bags = new Map<string, BagColumns>();
  private readonly capacity: number;

  constructor(widthMs: number, keep: number) {
    this.widthMs = widthMs;
    this.keep = keep;
    this.capacity = Math.ceil(keep * 1.25) + 8;
    this.key = new Float64Array(this.capacity);
    this.startMs = new Float64Array(this.capacity);
    this.first = new Float64Array(this.capacity);
    this.last = new Float64Array(this.capacity);
    this.count = new Float64Array(this.capacity);
    this.minC = new Float32Array(this.capacity);
    this.meanC = new Float32Array(this.capacity);
    this.maxC = new Float32Array(this.capacity);
    this.setpointC = new Float32Array(this.capacity);
    this.duty = new Float32Array(this.capacity);
  }

  clear(): void {
    this.length = 0;
    this.bags.clear();
  }

  /** Index of the first row whose last sequence is `sequence` or later; `length` when there is none. */
  indexOf(sequence: number): number {
    return lowerBound(this.last, this.length, sequence);
  }

  /** Index of the first row that starts at `ms` or later. */
  indexAt(ms: number): number {
    return lowerBound(this.startMs, this.length, ms);
  }

  /** Puts a row in its place. A row already held is replaced only by one that has seen at least as much. */
  put(row: Row): void {
    let at = this.indexOf(row.first);
    if (at < this.length && this.first[at]! <= row.last) {
      const held = this.last[at]! - this.first[at]!;
      const offered = row.last - row.first;
      if (held > offered || (held === offered && this.count[at]! > row.count)) return;
      this.write(at, row, this.startMs[at]! + (row.startMs - this.key[at]!));
      return;
    }
    if (this.length === this.capacity) {
      this.dropOldest();
      at = this.indexOf(row.first);
    }
    if (at === this.length) this.append(row);
    else this.insert(at, row);
  }

  private append(row: Row): void {
    const end = this.length - 1;
    if (end >= 0 && row.startMs <= this.startMs[end]!) {
      const back = this.startMs[end]! + this.widthMs - row.startMs;
      for (let i = 0; i < this.length; i++) this.startMs[i] = this.startMs[i]! - back;
    }
    this.length++;
    this.write(this.length - 1, row, row.startMs);
  }

  private insert(at: number, row: Row): void {
    for (const column of this.columns()) column.copyWithin(at + 1, at, this.length);
    this.length++;
    const before = at > 0 ? this.startMs[at - 1]! : Number.NEGATIVE_INFINITY;
    const after = this.startMs[at + 1]!;
    const fits = row.startMs > before && row.startMs < after;
    this.write(at, row, fits ? row.startMs : Math.max(after - this.widthMs, (before + after) / 2));
  }

  private write(at: number, row: Row, startMs: number): void {
    this.key[at] = row.startMs;
    this.startMs[at] = startMs;
    this.first[at] = row.first;
    this.last[at] = row.last;
    this.count[at] = row.count;
    this.minC[at] = row.minC ?? Number.NaN;
    this.meanC[at] = row.meanC ?? Number.NaN;
    this.maxC[at] = row.maxC ?? Number.NaN;
    this.setpointC[at] = row.setpointC ?? Number.NaN;
    this.duty[at] = row.duty;
    for (const columns of this.bags.values()) {
      columns.coreC[at] = Number.NaN;
      columns.coldC[at] = Number.NaN;
      columns.hotC[at] = Number.NaN;
    }
    for (const bag of row.bags) {
      const columns = this.bagColumns(bag.bagId);
      columns.coreC[at] = bag.coreC;
      columns.coldC[at] = bag.coldC;
      columns.hotC[at] = bag.hotC;
    }
  }

  private bagColumns(bagId: string): BagColumns {
    const held = this.bags.get(bagId);
    if (held) return held;
    if (this.bags.size >= MAX_BAG_COLUMNS) {
      const [oldest] = this.bags.keys();
      if (oldest !== undefined) this.bags.delete(oldest);
    }
    const column = () => new Float32Array(this.capacity).fill(Number.NaN);
    const made = { coreC: column(), coldC: column(), hotC: column() };
    this.bags.set(bagId, made);
    return made;
  }

  private dropOldest(): void {
    const drop = this.length - this.keep;
    for (const column of this.columns()) column.copyWithin(0, drop, this.length);
    this.length = this.keep;
  }

  private *columns(): Generator<Float64Array | Float32Array> {
    yield* [this.key, this.startMs, this.first, this.last, this.count];
    yield* [this.minC, this.meanC, this.maxC, this.setpointC, this.duty];
    for (const bag of this.bags.values()) yield* [bag.coreC, bag.coldC, bag.hotC];
  }
}

/** First index below `length` whose value is at least `wanted`, in a rising column. */
function lowerBound(column: Float64Array, length: number, wanted: number): number {
  let low = 0;
  let high = length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (column[middle]! < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}

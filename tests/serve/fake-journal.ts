import type { CookDetail, JournalReader } from '../../controller/journal/reader.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { CookRow } from '../../shared/wire/record.ts';
import {
  type BagSample,
  type EventRow,
  type Sample,
  TIERS_S,
  type TierRow,
  type TierWidth,
} from '../../shared/wire/rows.ts';

/** A journal in memory that follows the reader's contract; what is pushed counts as committed. */
export class FakeJournal {
  readonly #samples = new Map<string | null, Sample[]>();
  readonly #tiers = new Map<string, { closed: TierRow[]; open: Sample[] }>();
  last: Sample | null = null;
  readonly eventRows: EventRow[] = [];
  readonly cookRows = new Map<string, CookRow>();
  /** Awaited before every read, so that a test can hold reads back. */
  beforeRead: () => Promise<void> = async () => {};
  reads = 0;

  push(sample: Sample, cookId: string | null, events: readonly EventRow[] = []): void {
    const rows = this.#samples.get(cookId) ?? [];
    this.#samples.set(cookId, rows);
    rows.push(sample);
    this.last = sample;
    if (cookId !== null) this.#addToTiers(sample, cookId);
    this.eventRows.push(...events);
  }

  samplesOf(cookId: string | null): readonly Sample[] {
    return this.#samples.get(cookId) ?? [];
  }

  get lastSequence(): number {
    return this.last?.sequence ?? 0;
  }

  /** Complete buckets: runs of consecutive samples in one bucket, but for the last while the cook goes on. */
  tiersOf(cookId: string, widthS: TierWidth): readonly TierRow[] {
    const tier = this.#tiers.get(`${cookId}/${widthS}`);
    if (tier === undefined) return [];
    const ended = this.cookRows.get(cookId)?.endedAtMs !== null;
    return ended && tier.open.length > 0 ? [...tier.closed, rowOf(tier.open, widthS)] : tier.closed;
  }

  #addToTiers(sample: Sample, cookId: string): void {
    for (const widthS of WIDTHS) {
      const tier = this.#tiers.get(`${cookId}/${widthS}`) ?? { closed: [], open: [] };
      this.#tiers.set(`${cookId}/${widthS}`, tier);
      const first = tier.open[0];
      if (first && startOf(first, widthS) !== startOf(sample, widthS)) {
        tier.closed.push(rowOf(tier.open, widthS));
        tier.open = [];
      }
      tier.open.push(sample);
    }
  }

  reader(): JournalReader {
    const read = async <T>(give: () => T): Promise<T> => {
      this.reads += 1;
      await this.beforeRead();
      return structuredClone(give());
    };
    const known = (cookId: string | null): void => {
      if (cookId !== null && !this.cookRows.has(cookId)) throw new BathkeeperError('cook-unknown');
    };
    return {
      samples: (cookId, after, limit, through = Number.MAX_SAFE_INTEGER) =>
        read(() => {
          known(cookId);
          const rows = this.samplesOf(cookId);
          const from = lowerBound(rows, after + 1);
          return rows.slice(from, from + limit).filter((row) => row.sequence <= through);
        }),
      tiers: (cookId, widthS, fromMs, toMs) =>
        read(() => {
          known(cookId);
          return this.tiersOf(cookId, widthS).filter((row) => row.startMs >= fromMs && row.startMs < toMs);
        }),
      events: (cookId, after) =>
        read(() => this.eventRows.filter((row) => row.cookId === cookId && row.sequence > after)),
      lastSequence: () => read(() => this.lastSequence),
      cooks: () => read(() => [...this.cookRows.values()]),
      cook: (cookId) =>
        read(() => {
          known(cookId);
          return this.#detail(cookId);
        }),
      resume: () => Promise.reject(new Error('the server never resumes')),
      async *inputs() {},
      inputAt: () => read(() => null),
      configs: async () => [],
      replayPlan: () => Promise.reject(new Error('not faked')),
      recorded: () => Promise.reject(new Error('not faked')),
      // Rows that were recorded before there was a chain.
      links: async () => [],
      keptTiers: async () => [],
      chainRange: async () => ({
        first: 1,
        last: this.lastSequence,
        chainAfter: this.lastSequence,
        fault: null,
      }),
      close: async () => {},
    };
  }

  #detail(cookId: string): CookDetail {
    return {
      cook: this.cookRows.get(cookId)!,
      bags: [],
      cookVersions: [{ sequence: 1, row: this.cookRows.get(cookId)! }],
      bagVersions: [],
      alarms: [],
      events: this.eventRows.filter((row) => row.cookId === cookId),
      commands: [],
      runs: [],
    };
  }
}

/** Index of the first row whose sequence is at least so much. */
export function lowerBound(rows: readonly { sequence: number }[], sequence: number): number {
  let low = 0;
  let high = rows.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rows[middle]!.sequence < sequence) low = middle + 1;
    else high = middle;
  }
  return low;
}

function startOf(sample: Sample, widthS: number): number {
  return Math.floor(sample.wallMs / (widthS * 1000)) * widthS * 1000;
}

function rowOf(run: readonly Sample[], widthS: TierWidth): TierRow {
  const known = run.flatMap((sample) => (sample.bathC === null ? [] : [sample.bathC]));
  const last = run.at(-1)!;
  return {
    widthS,
    startMs: startOf(run[0]!, widthS),
    firstSequence: run[0]!.sequence,
    lastSequence: last.sequence,
    count: known.length,
    minC: known.length > 0 ? Math.min(...known) : null,
    meanC: known.length > 0 ? known.reduce((sum, value) => sum + value, 0) / known.length : null,
    maxC: known.length > 0 ? Math.max(...known) : null,
    setpointC: last.setpointC,
    duty: run.reduce((sum, sample) => sum + sample.duty, 0) / run.length,
    bags: lastOfEachBag(run),
  };
}

/** The last estimate of each bag, also of one taken out before the bucket ended. */
function lastOfEachBag(run: readonly Sample[]): BagSample[] {
  const bags = new Map<string, BagSample>();
  for (const sample of run) for (const bag of sample.bags) bags.set(bag.bagId, bag);
  return [...bags.values()];
}

/** Every width, for loops over the tiers. */
export const WIDTHS: readonly TierWidth[] = TIERS_S;

import type { EventRow, Sample, TierRow, TierWidth } from '../../shared/wire/rows.ts';
import { type Backfill, RAW_BACKFILL_S } from '../../shared/wire/stream.ts';
import type { JournalReader } from '../journal/reader.ts';

/** What a backfill reads of the journal. */
export type PastReader = Pick<JournalReader, 'samples' | 'tiers' | 'events'>;

/** Which part of the past a viewer lacks. */
export interface BackfillRequest {
  readonly cookId: string | null;
  /** The last sequence the viewer has; 0 when it has nothing. */
  readonly afterSequence: number;
  /** The last sequence to send; all of it is committed. */
  readonly throughSequence: number;
  /** The present, by the wall clock of the samples. */
  readonly wallMs: number;
  /** Largest message, in characters. */
  readonly messageChars: number;
}

const PAGE = 300;
/** Ten-second rows reach back this far, minute rows this far; what is older comes as ten-minute rows. */
const TEN_SECONDS_REACH_MS = 6 * 3_600_000;
const MINUTES_REACH_MS = 24 * 3_600_000;

/**
 * The past a viewer lacks, oldest first, in messages of bounded size, the last one marked done.
 * A hole of at most 30 minutes comes as raw samples; a larger one, or another cook, begins anew.
 * Outside any cook there are no tiers: the last 30 minutes are all there is.
 */
export async function* backfill(reader: PastReader, request: BackfillRequest): AsyncGenerator<Backfill> {
  const { cookId, throughSequence } = request;
  const reset = await mustReset(reader, request);
  const pack = new Packer(cookId, reset, request.messageChars);
  let rawAfter = request.afterSequence;
  if (reset) {
    const firstRaw = await firstRawSequence(reader, request);
    let covered = cookId === null ? firstRaw - 1 : 0;
    for await (const row of olderTiers(reader, cookId, request.wallMs)) {
      if (row.firstSequence >= firstRaw) continue;
      covered = Math.max(covered, row.lastSequence);
      yield* pack.add('tiers', row);
    }
    // A bucket is a run of consecutive samples, so what no row covers comes after the last row: raw, however old.
    rawAfter = covered;
  }
  for await (const sample of rawSamples(reader, cookId, rawAfter, throughSequence)) {
    yield* pack.add('samples', sample);
  }
  // Of a cook, all events from its beginning; outside any, there is no beginning but that of the samples.
  const eventsAfter = reset && cookId !== null ? 0 : rawAfter;
  for (const event of await reader.events(cookId, eventsAfter)) {
    if (event.sequence <= throughSequence) yield* pack.add('events', event);
  }
  yield pack.last();
}

/** Sequences never repeat, so the last one tells whether what the viewer has belongs to this cook. */
async function mustReset(reader: PastReader, request: BackfillRequest): Promise<boolean> {
  const { cookId, afterSequence, throughSequence } = request;
  if (afterSequence === 0 || afterSequence > throughSequence) return true;
  if (throughSequence - afterSequence > RAW_BACKFILL_S) return true;
  const held = await reader.samples(cookId, afterSequence - 1, 1, afterSequence);
  return held.length === 0;
}

/**
 * The first sample of the last 30 minutes, from the beginning of its ten-second bucket on.
 * There is one tick a second, so no sequence further back can be so young.
 */
async function firstRawSequence(reader: PastReader, request: BackfillRequest): Promise<number> {
  const cutMs = floorTo(request.wallMs - RAW_BACKFILL_S * 1000, 10_000);
  const from = Math.max(0, request.throughSequence - RAW_BACKFILL_S - 10);
  for await (const sample of rawSamples(reader, request.cookId, from, request.throughSequence)) {
    if (sample.wallMs >= cutMs) return sample.sequence;
  }
  return request.throughSequence + 1;
}

/**
 * Every bucket older than the raw part, each once: the cuts between the widths lie on whole
 * multiples of the coarser width. The finest width is read to its end, so that samples which a
 * stepped clock put into the future are not lost.
 */
async function* olderTiers(
  reader: PastReader,
  cookId: string | null,
  wallMs: number,
): AsyncGenerator<TierRow> {
  if (cookId === null) return;
  const minutesFromMs = floorTo(wallMs - MINUTES_REACH_MS, 600_000);
  const tenSecondsFromMs = floorTo(wallMs - TEN_SECONDS_REACH_MS, 60_000);
  const parts: [TierWidth, number, number][] = [
    [600, 0, minutesFromMs],
    [60, minutesFromMs, tenSecondsFromMs],
    [10, tenSecondsFromMs, Number.MAX_SAFE_INTEGER],
  ];
  for (const [widthS, fromMs, toMs] of parts) yield* await reader.tiers(cookId, widthS, fromMs, toMs);
}

async function* rawSamples(
  reader: PastReader,
  cookId: string | null,
  afterSequence: number,
  throughSequence: number,
): AsyncGenerator<Sample> {
  let after = afterSequence;
  while (after < throughSequence) {
    const page = await reader.samples(cookId, after, PAGE, throughSequence);
    yield* page;
    const last = page.at(-1);
    if (last === undefined || page.length < PAGE) return;
    after = last.sequence;
  }
}

function floorTo(ms: number, widthMs: number): number {
  return Math.floor(ms / widthMs) * widthMs;
}

/** Gathers rows into messages below a size; only the first says reset. */
class Packer {
  readonly #maxChars: number;
  #message: Backfill;
  #chars = 0;

  constructor(cookId: string | null, reset: boolean, maxChars: number) {
    this.#maxChars = maxChars;
    this.#message = { type: 'backfill', cookId, reset, tiers: [], samples: [], events: [], done: false };
  }

  /** Adds a row; gives the message that was full before it, if any. */
  *add<K extends 'tiers' | 'samples' | 'events'>(kind: K, row: Backfill[K][number]): Generator<Backfill> {
    const chars = JSON.stringify(row).length + 1;
    if (this.#chars > 0 && this.#chars + chars > this.#maxChars) {
      yield this.#message;
      this.#message = { ...this.#message, reset: false, tiers: [], samples: [], events: [] };
      this.#chars = 0;
    }
    (this.#message[kind] as (TierRow | Sample | EventRow)[]).push(row);
    this.#chars += chars;
  }

  last(): Backfill {
    return { ...this.#message, done: true };
  }
}

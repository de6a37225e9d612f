import { isDeepStrictEqual } from 'node:util';
import { expect } from 'vitest';
import type { EventRow, Sample, TierRow } from '../../shared/wire/rows.ts';
import type { Status } from '../../shared/wire/status.ts';
import { type ServerMessage, serverMessageSchema } from '../../shared/wire/stream.ts';
import { type FakeJournal, lowerBound, WIDTHS } from './fake-journal.ts';

/** What a page keeps of the stream, by the rules of the wire and nothing else. */
export class WatchingPage {
  bootId: string | null = null;
  cookId: string | null = null;
  tiers: TierRow[] = [];
  samples: Sample[] = [];
  events: EventRow[] = [];
  status: Status | null = null;
  /** All is held up to here without a hole; what a resume may claim. */
  through = 0;
  resets = 0;
  degraded = 0;
  whole = false;
  readonly seen: ServerMessage[] = [];
  #tiersThrough = 0;

  /** Takes a message in; every message must be of the wire's schema, with nothing beyond it. */
  take(text: string): ServerMessage {
    const raw: unknown = JSON.parse(text);
    const message = serverMessageSchema.parse(raw);
    expectSame(message, raw);
    this.seen.push(message);
    if (message.type === 'hello') {
      this.bootId = message.bootId;
      this.#forgetUnproven();
    }
    if (message.type === 'backfill') this.#backfill(message);
    if (message.type === 'live') this.#live(message);
    return message;
  }

  /** Rows of a backfill that broke off are beyond what the resume will claim, and so will come again. */
  #forgetUnproven(): void {
    this.whole = false;
    this.samples = this.samples.filter((row) => row.sequence <= this.through);
    this.events = this.events.filter((row) => row.sequence <= this.through);
  }

  #backfill(message: Extract<ServerMessage, { type: 'backfill' }>): void {
    if (message.reset) {
      this.resets += 1;
      this.tiers = [];
      this.samples = [];
      this.events = [];
      this.through = 0;
      this.#tiersThrough = 0;
    }
    this.whole = message.done;
    this.cookId = message.cookId;
    this.tiers.push(...message.tiers);
    for (const row of message.tiers) this.#tiersThrough = Math.max(this.#tiersThrough, row.lastSequence);
    this.#append(message.samples, message.events);
  }

  #live(message: Extract<ServerMessage, { type: 'live' }>): void {
    this.status = message.status;
    if (message.degraded) {
      this.degraded += 1;
      this.whole = false;
      expect(message.samples).toEqual([]);
      expect(message.events).toEqual([]);
      return;
    }
    expect(this.whole, 'live rows came before the past was whole').toBe(true);
    this.#append(message.samples, message.events);
  }

  #append(samples: readonly Sample[], events: readonly EventRow[]): void {
    for (const sample of samples) {
      const before = this.samples.at(-1)?.sequence ?? this.#tiersThrough;
      expect(sample.sequence, 'a sample came twice or out of order').toBeGreaterThan(before);
      this.samples.push(sample);
    }
    this.events.push(...events);
    if (this.whole) this.through = this.samples.at(-1)?.sequence ?? this.through;
  }
}

/** Checks that a page holds exactly what the journal holds of its cook: each sample once, raw or in a tier. */
export function expectSameAsJournal(page: WatchingPage, journal: FakeJournal, throughSequence: number): void {
  const rows = journal.samplesOf(page.cookId);
  const all = rows.slice(0, lowerBound(rows, throughSequence + 1));
  const firstRaw = page.samples[0]?.sequence ?? Number.POSITIVE_INFINITY;
  const older = all.slice(0, lowerBound(all, firstRaw));
  expectSame(page.samples, all.slice(older.length));
  if (page.cookId === null) return;
  const covered: number[] = [];
  for (const row of [...page.tiers].sort((a, b) => a.firstSequence - b.firstSequence)) {
    const from = lowerBound(older, row.firstSequence);
    for (let i = from; (older[i]?.sequence ?? Number.POSITIVE_INFINITY) <= row.lastSequence; i += 1) {
      covered.push(older[i]!.sequence);
    }
  }
  // Compared as text: the arrays are long, and only the first difference matters.
  expect(
    covered.join() === older.map((sample) => sample.sequence).join(),
    'each older sample in one row',
  ).toBe(true);
  const cookId = page.cookId;
  const known = new Map(
    WIDTHS.flatMap((width) => journal.tiersOf(cookId, width)).map((row) => [keyOf(row), JSON.stringify(row)]),
  );
  expect(page.tiers.filter((row) => JSON.stringify(row) !== known.get(keyOf(row)))).toEqual([]);
  const events = journal.eventRows.filter(
    (row) => row.cookId === page.cookId && row.sequence <= throughSequence,
  );
  expect(page.events.filter((row) => row.cookId === page.cookId)).toEqual(events);
}

/** The quick way of the platform first; where it fails, the one that shows the difference. */
function expectSame(got: unknown, wanted: unknown): void {
  if (!isDeepStrictEqual(got, wanted)) expect(got).toStrictEqual(wanted);
}

function keyOf(row: TierRow): string {
  return `${row.widthS}/${row.firstSequence}`;
}

import { afterEach, describe, expect, it } from 'vitest';
import { type Journal, openJournal } from '../../controller/journal/journal.ts';
import { type JournalReader, openReader } from '../../controller/journal/reader.ts';
import type { Committed, Hub } from '../../controller/serve/hub.ts';
import type { CommandResult } from '../../shared/wire/command.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import type { Status } from '../../shared/wire/status.ts';
import { INSTALLATION, statusAt } from './fake-hub.ts';
import { FakeJournal } from './fake-journal.ts';
import { BAGS, COOK_ID, cookOf, cookRow, options, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';
import { type Bed, makeBedOn, resumeOf, type Watcher } from './server-bed.ts';
import { expectSameAsJournal, WatchingPage } from './watching-page.ts';

/** A hub on the real journal: what it tells has been committed by it. */
class JournalHub implements Hub {
  readonly bootId = 'boot-1';
  readonly installation = INSTALLATION;
  readonly plant = null;
  readonly journal: Journal;
  readonly reader: JournalReader;
  #latest: { status: Status; sequence: number } | null = null;
  readonly #listeners = new Set<(committed: Committed) => void>();

  constructor(journal: Journal, reader: JournalReader) {
    this.journal = journal;
    this.reader = reader;
    journal.onCommitted(({ throughSequence, records }) => {
      const last = records.at(-1);
      if (last === undefined) return;
      const { cookId, sample } = last;
      const cook = cookId === null ? null : cookRow({ cookId });
      const { codeVersion, configJson, setpointC, ...view } = cook ?? cookRow();
      const status = statusAt(throughSequence, sample.wallMs, cook && view);
      this.#latest = { status, sequence: throughSequence };
      const samples = records.map((record) => record.sample);
      const events = records.flatMap((record) => record.events);
      for (const listener of [...this.#listeners]) listener({ samples, events, status, throughSequence });
    });
  }

  latest(): { status: Status; sequence: number } | null {
    return this.#latest;
  }

  submit(): Promise<CommandResult> {
    return Promise.reject(new Error('not in this test'));
  }

  onCommitted(listener: (committed: Committed) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  journalLagMs(): number {
    return 0;
  }
}

let bed: Bed<JournalHub>;
let closing: (() => Promise<void>)[] = [];
afterEach(async () => {
  await bed?.close();
  for (const close of closing) await close();
  closing = [];
});

async function makeHub(): Promise<JournalHub> {
  const opened = options(ownFolder());
  const journal = await openJournal(opened);
  const reader = await openReader(opened.path);
  closing.push(
    () => reader.close(),
    () => journal.close(),
  );
  return new JournalHub(journal, reader);
}

async function follow(page: WatchingPage): Promise<Watcher> {
  const watcher = await bed.watch(page);
  await watcher.greeted();
  watcher.send(resumeOf(page));
  return watcher;
}

/** The journal's rows by an independent aggregation of its samples: tiers included. */
async function mirrorOf(reader: JournalReader, cookId: string): Promise<FakeJournal> {
  const mirror = new FakeJournal();
  mirror.cookRows.set(cookId, (await reader.cook(cookId)).cook);
  for (let after = 0; ; ) {
    const page = await reader.samples(cookId, after, 2000);
    for (const sample of page) mirror.push(sample, cookId);
    const last = page.at(-1);
    if (last === undefined) break;
    after = last.sequence;
  }
  mirror.eventRows.push(...(await reader.events(cookId, 0)));
  return mirror;
}

describe('stream, on the real journal', () => {
  it('live plus backfill equals the journal, for pages that come, go and come back while rows are written', async () => {
    const hub = await makeHub();
    bed = await makeBedOn(hub);
    const records: TickRecord[] = [...Array.from({ length: 30 }, (_, i) => idle(i + 1)), ...cookOf(9000, 31)];
    const steady = new WatchingPage();
    const wavering = new WatchingPage();
    const late = new WatchingPage();
    let watchers: Watcher[] = [];
    for (const [i, record] of records.entries()) {
      hub.journal.write(record);
      if (i === 20) watchers.push(await follow(steady));
      if (i % 1000 === 500) {
        await hub.journal.flush();
        bed.clock.monotonicMs += 60_000;
        const watcher = await follow(wavering);
        if (i % 2000 === 500) await watcher.until((page) => page.whole);
        else await watcher.until((page) => page.seen.length > 3);
        await watcher.close();
      }
      if (i % 50 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
    watchers = [...watchers, await follow(wavering), await follow(late)];
    await hub.journal.flush();
    const through = await hub.reader.lastSequence();
    expect(through).toBe(9030);
    for (const watcher of watchers) {
      await watcher.until((page) => page.whole && page.status?.sequence === through);
    }
    const mirror = await mirrorOf(hub.reader, COOK_ID);
    expect(mirror.samplesOf(COOK_ID)).toHaveLength(9000);
    for (const page of [steady, wavering, late]) {
      expect(page.cookId).toBe(COOK_ID);
      expectSameAsJournal(page, mirror, through);
    }
    expect(late.tiers.length).toBeGreaterThan(500);
    expect(late.events.length).toBeGreaterThan(3);
  });

  it('outside any cook, shows what the journal keeps outside any cook', async () => {
    const hub = await makeHub();
    bed = await makeBedOn(hub);
    for (let i = 1; i <= 40; i += 1) hub.journal.write(idle(i));
    await hub.journal.flush();
    const page = new WatchingPage();
    const watcher = await follow(page);
    await watcher.until(() => page.whole && page.status?.sequence === 40);
    expect(page.cookId).toBeNull();
    expect(page.samples).toEqual(await hub.reader.samples(null, 0, 100));
    expect(page.samples).toHaveLength(40);
  });
});

function idle(sequence: number): TickRecord {
  return tick(sequence, { cookId: null, bagIds: BAGS.slice(0, 0) });
}

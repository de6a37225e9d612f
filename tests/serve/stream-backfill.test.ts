import { describe, expect, it } from 'vitest';
import { backfill } from '../../controller/serve/backfill.ts';
import { Recent } from '../../controller/serve/recent.ts';
import type { TierRow } from '../../shared/wire/rows.ts';
import type { Backfill } from '../../shared/wire/stream.ts';
import { FakeHub } from './fake-hub.ts';
import { expectSameAsJournal, WatchingPage } from './watching-page.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const CHARS = 32 * 1024;

interface Given {
  readonly page: WatchingPage;
  readonly messages: Backfill[];
  readonly sizes: number[];
}

/** The backfill of a page that holds all through `after`. */
async function give(hub: FakeHub, after = 0, page = new WatchingPage()): Promise<Given> {
  const messages: Backfill[] = [];
  const sizes: number[] = [];
  const request = {
    cookId: hub.cook?.cookId ?? null,
    afterSequence: after,
    throughSequence: hub.journal.lastSequence,
    wallMs: hub.wallMs,
    messageChars: CHARS,
  };
  for await (const message of backfill(hub.reader, request)) {
    const text = JSON.stringify(message);
    messages.push(message);
    sizes.push(text.length);
    page.take(text);
  }
  expectSameAsJournal(page, hub.journal, hub.journal.lastSequence);
  return { page, messages, sizes };
}

function ofWidth(page: WatchingPage, widthS: number): TierRow[] {
  return page.tiers.filter((row) => row.widthS === widthS);
}

function cooking(seconds: number): FakeHub {
  const hub = new FakeHub();
  hub.startCook('cook-1');
  hub.tick(seconds, [{ kind: 'note', text: 'Started.', data: {} }]);
  return hub;
}

describe('backfill, which part of the past comes in which detail', () => {
  it('of a cook shorter than 30 minutes every sample comes raw, and no tier', async () => {
    const { page, messages } = await give(cooking(1700));
    expect(page.samples).toHaveLength(1700);
    expect(page.tiers).toEqual([]);
    expect(messages[0]?.reset).toBe(true);
  });

  it('of a cook of 72 hours: 30 min raw, 10 s rows up to 6 h, minutes up to 24 h, 10 min rows beyond; each sample once', async () => {
    const hub = cooking(72 * 3600);
    const { page, messages, sizes } = await give(hub);
    const age = (ms: number): number => hub.wallMs - ms;
    // Each part may reach further back by less than one bucket of the next coarser width.
    const rawAge = age(page.samples[0]?.wallMs ?? 0);
    expect(rawAge).toBeGreaterThanOrEqual(30 * MINUTE);
    expect(rawAge).toBeLessThan(30 * MINUTE + 10_000);
    const [tens, minutes, tenMinutes] = [10, 60, 600].map((width) => ofWidth(page, width));
    const oldest = (rows: TierRow[] | undefined): number => age(rows?.[0]?.startMs ?? 0);
    expect(oldest(tens)).toBeGreaterThanOrEqual(6 * HOUR);
    expect(oldest(tens)).toBeLessThan(6 * HOUR + MINUTE);
    expect(oldest(minutes)).toBeGreaterThanOrEqual(24 * HOUR);
    expect(oldest(minutes)).toBeLessThan(24 * HOUR + 10 * MINUTE);
    expect(oldest(tenMinutes)).toBeGreaterThanOrEqual(72 * HOUR - 1000);
    // 1800 raw, 330 min of 10 s rows, 18 h of minutes, 48 h of 10 min rows, and the edges.
    expect(page.tiers.length + page.samples.length).toBeLessThan(1810 + 1986 + 1090 + 290);
    // Bounded messages, the first resets, the last is done, and no other is either.
    expect(Math.max(...sizes)).toBeLessThan(CHARS + 200);
    expect(messages.map((one) => one.reset)).toEqual([true, ...Array(messages.length - 1).fill(false)]);
    expect(messages.map((one) => one.done)).toEqual([...Array(messages.length - 1).fill(false), true]);
  });

  it('comes oldest first: tiers from coarse to fine, then samples, then events', async () => {
    const { messages } = await give(cooking(30 * 3600));
    const order = messages.flatMap((message) => [
      ...message.tiers.map((row) => row.firstSequence),
      ...message.samples.map((row) => row.sequence),
    ]);
    expect(order).toEqual(order.toSorted((a, b) => a - b));
    expect(messages.slice(0, -1).every((message) => message.events.length === 0)).toBe(true);
    expect(messages.at(-1)?.events).toHaveLength(1);
  });

  it('fits just before, at and after each edge, and wherever the edge falls within a coarser bucket', async () => {
    for (const edge of [1800, 6 * 3600, 24 * 3600]) {
      const hub = cooking(edge - 5);
      for (const seconds of [1, 3, 1, 1, 1, 9, 49, 541, 1]) {
        hub.tick(seconds);
        await give(hub);
      }
    }
  });

  it('of an ended cook that is still shown, the end comes too, however long ago', async () => {
    for (const hours of [0.2, 2, 10, 40]) {
      const hub = cooking(8000);
      hub.endCook();
      // The clock runs on, but no sample of the cook comes any more.
      hub.wallMs += hours * HOUR;
      const { page } = await give(hub);
      const last = page.samples.at(-1)?.sequence ?? page.tiers.at(-1)?.lastSequence;
      expect(last).toBe(8000);
    }
  });

  it('samples in a bucket that was never finished come raw: they are in no tier', async () => {
    const hub = cooking(8003);
    // Not ended in the log, as after a crash, and looked at hours later.
    hub.wallMs += 10 * HOUR;
    const { page } = await give(hub);
    expect(page.samples.length).toBeGreaterThan(0);
    expect(page.samples.at(-1)?.sequence).toBe(8003);
  });

  it('holds across an outage within the cook, and across a clock that was set back or forth', async () => {
    for (const stepMs of [8 * HOUR, -8 * HOUR, -20 * MINUTE, 40 * MINUTE, 900, -1500, 56 * 365 * 24 * HOUR]) {
      for (const after of [5, 900, 1799, 1805, 5000]) {
        const hub = cooking(5000);
        hub.wallMs += stepMs;
        hub.tick(after);
        await give(hub);
      }
    }
  });
});

describe('backfill, a page that comes back', () => {
  it('gets exactly the hole, raw, up to 30 minutes of ticks, and nothing anew', async () => {
    for (const hole of [1, 299, 300, 301, 1800]) {
      const hub = cooking(4000);
      const { page } = await give(hub);
      page.through = 4000;
      const held = page.samples.length;
      hub.tick(hole, [{ kind: 'note', text: 'While away.', data: {} }]);
      const { messages } = await give(hub, 4000, page);
      expect(messages[0]?.reset).toBe(false);
      expect(page.samples).toHaveLength(held + hole);
      expect(page.resets).toBe(1);
    }
  });

  it('gets an empty, finished backfill where nothing happened meanwhile', async () => {
    const hub = cooking(100);
    const { page } = await give(hub);
    const { messages } = await give(hub, 100, page);
    expect(messages).toEqual([
      { type: 'backfill', cookId: 'cook-1', reset: false, tiers: [], samples: [], events: [], done: true },
    ]);
  });

  it('begins anew where it claims more than is to be sent', async () => {
    const hub = cooking(100);
    const request = {
      cookId: 'cook-1',
      afterSequence: 95,
      throughSequence: 90,
      wallMs: hub.wallMs,
      messageChars: CHARS,
    };
    const messages: Backfill[] = [];
    for await (const message of backfill(hub.reader, request)) messages.push(message);
    expect(messages[0]?.reset).toBe(true);
    expect(messages.flatMap((message) => message.samples)).toHaveLength(90);
  });

  it('begins anew where its last sample is of another cook or of none, though the sequence fits', async () => {
    const hub = new FakeHub();
    hub.tick(50);
    hub.startCook('cook-1');
    hub.tick(50);
    hub.startCook('cook-2');
    hub.tick(50);
    for (const held of [0, 1, 50, 51, 100]) {
      const { messages, page } = await give(hub, held);
      expect([held, messages[0]?.reset, page.samples.length]).toEqual([held, true, 50]);
    }
    const { messages } = await give(
      hub,
      101,
      Object.assign(new WatchingPage(), {
        samples: hub.journal.samplesOf('cook-2').slice(0, 1),
        cookId: 'cook-2',
      }),
    );
    expect(messages[0]?.reset).toBe(false);
  });
});

describe('the latest commits in memory', () => {
  it('give what came after a sequence, from any sequence they reach back to, and say where they do not', () => {
    const hub = new FakeHub();
    hub.tick(10);
    const before = hub.latest();
    const recent = new Recent(12, before && { status: before.status, throughSequence: before.sequence });
    expect(recent.after(10)).toEqual({ samples: [], events: [] });
    expect(recent.after(9)).toBeNull();
    for (let i = 0; i < 6; i += 1) recent.push(hub.tick(3, [{ kind: 'note', text: `${i}`, data: {} }]));
    const numbers = (after: number) => recent.after(after)?.samples.map((row) => row.sequence);
    expect(numbers(28)).toEqual([]);
    expect(numbers(24)).toEqual([25, 26, 27, 28]);
    expect(numbers(16)).toEqual([17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27, 28]);
    expect(recent.after(15)).toBeNull();
    expect(recent.after(24)?.events.map((row) => row.text)).toEqual(['5']);
  });

  it('hold no more samples than their bound, but always the newest commit', () => {
    const hub = new FakeHub();
    const recent = new Recent(10, null);
    expect(recent.latest).toBeNull();
    recent.push(hub.tick(500));
    expect(recent.after(0)?.samples).toHaveLength(500);
    recent.push(hub.tick(1));
    expect(recent.after(499)).toBeNull();
    expect(recent.after(500)?.samples).toHaveLength(1);
  });
});

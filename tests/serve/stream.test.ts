import { afterEach, describe, expect, it } from 'vitest';
import { RAW_BACKFILL_S } from '../../shared/wire/stream.ts';
import { FakeHub, INSTALLATION, START_MS } from './fake-hub.ts';
import { type Bed, makeBed, resumeOf, type Watcher, withLimits } from './server-bed.ts';
import { expectSameAsJournal, WatchingPage } from './watching-page.ts';

let bed: Bed;
afterEach(() => bed?.close());

/** Opens the stream and resumes from what the page holds. */
async function follow(page = new WatchingPage()): Promise<Watcher> {
  const watcher = await bed.watch(page);
  await watcher.greeted();
  watcher.send(resumeOf(page));
  return watcher;
}

/** Until the page is at the last committed sequence and live. */
function caughtUp(watcher: Watcher): Promise<void> {
  const through = bed.hub.journal.lastSequence;
  return watcher.until((page) => page.whole && page.status?.sequence === through);
}

describe('stream, from hello to live', () => {
  it('greets with boot id, last sequence, server time, installation and pairing, before anything else', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(5);
    const watcher = await follow();
    await caughtUp(watcher);
    expect(watcher.page.seen[0]).toEqual({
      type: 'hello',
      bootId: 'boot-1',
      sequence: 5,
      serverTime: START_MS,
      installation: INSTALLATION,
      paired: false,
    });
    const kinds = watcher.page.seen.map((message) => message.type);
    expect(kinds.slice(0, 3)).toEqual(['hello', 'backfill', 'live']);
  });

  it('gives the past and then what is committed, as it is committed, with events and the status after it', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(100, [{ kind: 'note', text: 'Started.', data: {} }]);
    const watcher = await follow();
    await caughtUp(watcher);
    for (let i = 0; i < 5; i += 1) bed.hub.commit(2, [{ kind: 'note', text: `Note ${i}.`, data: { i } }]);
    await caughtUp(watcher);
    expectSameAsJournal(watcher.page, bed.hub.journal, 110);
    expect(watcher.page.samples).toHaveLength(110);
    expect(watcher.page.events).toHaveLength(6);
    expect(watcher.page.status).toEqual(bed.hub.latest()?.status);
  });

  it('sends no sample before it is committed: what the journal does not have, no page has', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(3);
    const watcher = await follow();
    await caughtUp(watcher);
    // On its way to the disk: the tick has run, nobody has been told.
    const pending = bed.hub.tick(2);
    const other = await bed.watch();
    await other.greeted();
    expect(watcher.page.samples).toHaveLength(3);
    bed.hub.tell(pending);
    await caughtUp(watcher);
    expect(watcher.page.samples).toHaveLength(5);
  });

  it('waits with the past until there is a first commit, and keeps the link alive meanwhile', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { beatMs: 20 } }) });
    const watcher = await follow();
    await watcher.until((page) => page.seen.filter((one) => one.type === 'beat').length >= 3);
    expect(watcher.page.seen.some((one) => one.type === 'backfill' || one.type === 'live')).toBe(false);
    bed.hub.commit(2);
    await caughtUp(watcher);
    expect(watcher.page.samples).toHaveLength(2);
  });

  it('beats with server time and journal lag while nothing is committed', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { beatMs: 20 } }) });
    bed.hub.commit();
    bed.hub.lagMs = 1700;
    const watcher = await follow();
    await watcher.until((_, last) => last?.type === 'beat');
    expect(watcher.page.seen.at(-1)).toEqual({ type: 'beat', serverTime: START_MS, journalLagMs: 1700 });
  });

  it('sends a commit of many rows, as after a stalled disk, in bounded messages', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const watcher = await follow();
    await caughtUp(watcher);
    for (const count of [120, 121, 1500, 5000]) {
      bed.hub.commit(count);
      await caughtUp(watcher);
      expectSameAsJournal(watcher.page, bed.hub.journal, bed.hub.journal.lastSequence);
    }
    const sizes = watcher.page.seen.map((message) => JSON.stringify(message).length);
    // 120 samples with three bags and a status; a backfill message stays below 32 KiB.
    expect(Math.max(...sizes)).toBeLessThan(64 * 1024);
  });

  it('shows eight viewers the same, and all of it', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(50);
    const watchers = await Promise.all(Array.from({ length: 8 }, () => follow()));
    for (let i = 0; i < 30; i += 1) {
      bed.hub.commit(1 + (i % 3));
      await new Promise((resolve) => setImmediate(resolve));
    }
    for (const watcher of watchers) {
      await caughtUp(watcher);
      expectSameAsJournal(watcher.page, bed.hub.journal, bed.hub.journal.lastSequence);
    }
  });
});

describe('stream, resume', () => {
  it('gives a page that comes back only what it lacks, with no reset', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(100, [{ kind: 'note', text: 'Started.', data: {} }]);
    const page = new WatchingPage();
    const first = await follow(page);
    await caughtUp(first);
    await first.close();
    bed.hub.commit(RAW_BACKFILL_S, [{ kind: 'note', text: 'While away.', data: {} }]);
    const again = await follow(page);
    await caughtUp(again);
    expect(page.resets).toBe(1);
    expect(page.samples).toHaveLength(100 + RAW_BACKFILL_S);
    expectSameAsJournal(page, bed.hub.journal, bed.hub.journal.lastSequence);
  });

  it('begins anew where the page was away for more than 30 minutes', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(100);
    const page = new WatchingPage();
    const first = await follow(page);
    await caughtUp(first);
    await first.close();
    bed.hub.commit(RAW_BACKFILL_S + 1);
    await caughtUp(await follow(page));
    expect(page.resets).toBe(2);
    expectSameAsJournal(page, bed.hub.journal, bed.hub.journal.lastSequence);
    expect(page.tiers.length).toBeGreaterThan(0);
  });

  it('goes on across a restart of the controller, by sequence, under the new boot id', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(100);
    const page = new WatchingPage();
    await caughtUp(await follow(page));
    await bed.close();
    const hub = new FakeHub(bed.hub.journal, 'boot-2');
    hub.cook = bed.hub.cook;
    hub.wallMs += 600_000;
    bed = await makeBed({ hub });
    hub.commit(20);
    await caughtUp(await follow(page));
    expect(page.bootId).toBe('boot-2');
    expect(page.resets).toBe(1);
    expect(page.samples).toHaveLength(120);
    expectSameAsJournal(page, hub.journal, 120);
  });

  it('begins anew where the page holds more than the journal: the log was replaced', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const page = new WatchingPage();
    page.through = 5000;
    await caughtUp(await follow(page));
    expect(page.resets).toBe(1);
    expectSameAsJournal(page, bed.hub.journal, 10);
  });

  it('begins anew when another cook starts, also for a page that is watching', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const [watcher, left] = [await follow(), await follow()];
    await caughtUp(watcher);
    await caughtUp(left);
    await left.close();
    bed.hub.endCook();
    bed.hub.commit(5);
    await caughtUp(watcher);
    expect(watcher.page.resets).toBe(1);
    bed.hub.startCook('cook-2');
    bed.hub.commit(3);
    await caughtUp(watcher);
    await caughtUp(await follow(left.page));
    for (const { page } of [watcher, left]) {
      expect([page.cookId, page.resets, page.samples.length]).toEqual(['cook-2', 2, 3]);
      expectSameAsJournal(page, bed.hub.journal, bed.hub.journal.lastSequence);
    }
  });

  it('shows the last 30 minutes where no cook is shown, and drops them when one starts', async () => {
    bed = await makeBed();
    bed.hub.commit(2000, [{ kind: 'note', text: 'Long ago.', data: {} }]);
    const watcher = await follow();
    await caughtUp(watcher);
    expect(watcher.page.cookId).toBeNull();
    expect(watcher.page.tiers).toEqual([]);
    const spanMs = bed.hub.wallMs - (watcher.page.samples[0]?.wallMs ?? 0);
    expect(spanMs).toBeGreaterThanOrEqual(RAW_BACKFILL_S * 1000);
    expect(spanMs).toBeLessThan(RAW_BACKFILL_S * 1000 + 10_000);
    expect(watcher.page.events).toEqual([]);
    bed.hub.startCook('cook-1');
    bed.hub.commit(4);
    await caughtUp(watcher);
    expect(watcher.page.samples).toHaveLength(4);
  });
});

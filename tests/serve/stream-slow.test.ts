import type { Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { Receipts } from '../../controller/serve/receipts.ts';
import { newRandom, uniform } from '../../shared/units/random.ts';
import { type Bed, makeBed, resumeOf, type Watcher, withLimits } from './server-bed.ts';
import { expectSameAsJournal } from './watching-page.ts';

let bed: Bed;
afterEach(() => bed?.close());

async function follow(): Promise<Watcher> {
  const watcher = await bed.watch();
  await watcher.greeted();
  watcher.send(resumeOf(watcher.page));
  await watcher.until((page) => page.status !== null);
  return watcher;
}

function caughtUp(watcher: Watcher): Promise<void> {
  const through = bed.hub.journal.lastSequence;
  return watcher.until((page) => page.whole && page.status?.sequence === through);
}

/** The TCP socket under a WebSocket of the test's own client. */
function tcpOf(watcher: Watcher): Socket {
  return (watcher.ws as unknown as { _socket: Socket })._socket;
}

const bulk = (i: number) => [{ kind: 'note', text: noise(i, 60_000), data: {} }];

/** Text that hardly compresses, so that buffers really fill. */
function noise(seed: number, chars: number): string {
  const random = newRandom(seed);
  let text = '';
  while (text.length < chars) text += uniform(random).toString(36).slice(2);
  return text;
}

describe('stream, a viewer that reads slower than rows are committed', () => {
  it('gets the latest status labelled degraded, then the hole as backfill, and ends with every row once', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const [slow, swift] = [await follow(), await follow()];
    tcpOf(slow).pause();
    const commit = async (count: number): Promise<void> => {
      for (let i = 0; i < count; i += 1) {
        bed.hub.commit(1, bulk(i));
        await caughtUp(swift);
      }
    };
    while (!/bathkeeper_stream_degraded_total [1-9]/.test((await bed.ask({ path: '/metrics' })).text)) {
      bed.clock.monotonicMs += 1000;
      await commit(20);
    }
    await commit(50);
    const through = bed.hub.journal.lastSequence;
    tcpOf(slow).resume();
    await caughtUp(slow);
    expect(slow.page.degraded).toBeGreaterThan(0);
    expect(slow.page.resets).toBe(1);
    const backfills = slow.page.seen.filter((one) => one.type === 'backfill' && one.done);
    expect(backfills.length).toBeGreaterThan(1);
    for (const { page } of [slow, swift]) expectSameAsJournal(page, bed.hub.journal, through);
    expect(swift.page.degraded).toBe(0);
    // Live again: the next commit comes as a live row.
    bed.hub.commit();
    await caughtUp(slow);
    expect(slow.page.seen.at(-1)).toMatchObject({ type: 'live', degraded: false });
  });

  it('is told from the receipts of the other end: what the kernel holds for a stalled link is not called sent', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const slow = await follow();
    tcpOf(slow).pause();
    const sent = async (): Promise<number> => {
      bed.clock.monotonicMs += 1000;
      const { text } = await bed.ask({ path: '/metrics' });
      return Number(/bathkeeper_stream_messages_total (\d+)/.exec(text)?.[1]);
    };
    const before = await sent();
    // 12 MB are committed, which the kernel alone could take; 128 KiB of it and a few words are sent.
    for (let i = 0; i < 200; i += 1) {
      bed.hub.commit(1, bulk(i));
      await new Promise((resolve) => setImmediate(resolve));
    }
    expect((await sent()) - before).toBeLessThan(10);
    slow.ws.terminate();
  });
});

describe('stream, a connection that is dead', () => {
  it('is given up where nothing comes back, and its place is free again', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { silenceMs: 1000, beatMs: 100, viewers: 2 } }) });
    bed.hub.commit();
    const alive = await follow();
    const dead = await follow();
    // A phone that left the Wi-Fi: its socket stays open and says nothing.
    tcpOf(dead).pause();
    while ((await bed.ask({ path: '/api/health' })).json().viewers !== 1) {
      bed.clock.monotonicMs += 1000;
      await new Promise((resolve) => setTimeout(resolve, 50));
      bed.hub.commit();
    }
    expect((await bed.ask({ path: '/metrics' })).text).toContain('bathkeeper_stream_lost_total 1\n');
    bed.hub.commit();
    await caughtUp(alive);
    await caughtUp(await follow());
    dead.ws.terminate();
  });
});

describe('receipts', () => {
  const pong = (text: string): Buffer => Buffer.from(text, 'latin1');

  it('confirm by the pong what was sent before its ping, and nothing after it', () => {
    const receipts = new Receipts(() => 0);
    receipts.sent(100);
    const first = receipts.mark();
    receipts.sent(50);
    receipts.received(pong(first));
    expect([receipts.sentBytes, receipts.receivedBytes]).toEqual([150, 100]);
    receipts.received(pong(receipts.mark()));
    expect(receipts.receivedBytes).toBe(150);
  });

  it('ask for a ping after each 16 KiB, and with a heartbeat for anything less', () => {
    const receipts = new Receipts(() => 0);
    expect(receipts.unmarked).toBe(false);
    expect([receipts.sent(10_000), receipts.unmarked]).toEqual([false, true]);
    expect(receipts.sent(6384)).toBe(true);
    receipts.mark();
    expect([receipts.sent(1), receipts.unmarked]).toEqual([false, true]);
  });

  it('believe no pong that claims more than was asked, that goes back, or that is no number', () => {
    const receipts = new Receipts(() => 0);
    receipts.sent(100);
    receipts.mark();
    receipts.sent(100);
    for (const lie of ['200', '1e3', '-5', 'x', '', '99.5', 'Infinity']) {
      receipts.received(pong(lie));
      expect([lie, receipts.receivedBytes]).toEqual([lie, 0]);
    }
    receipts.received(pong('100'));
    receipts.received(pong('50'));
    expect(receipts.receivedBytes).toBe(100);
  });

  it('never count as received what still waits in this process, whatever the other end claims', () => {
    let waiting = 80;
    const receipts = new Receipts(() => waiting);
    receipts.sent(100);
    receipts.received(pong(receipts.mark()));
    expect(receipts.receivedBytes).toBe(20);
    waiting = 0;
    expect(receipts.receivedBytes).toBe(100);
  });
});

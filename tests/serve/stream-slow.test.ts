import type { Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { Liveness } from '../../controller/serve/liveness.ts';
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
    bed = await makeBed({
      limits: withLimits({ stream: { slowBytes: 200_000, drainedBytes: 20_000 } }),
    });
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const [slow, swift] = [await follow(), await follow()];
    tcpOf(slow).pause();
    // The kernel takes some megabytes before anything waits in the process.
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

  it('costs the controller a bounded amount of memory while it does not read at all', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    const slow = await follow();
    tcpOf(slow).pause();
    const commits = async (count: number): Promise<void> => {
      for (let i = 0; i < count; i += 1) {
        bed.hub.commit(1, bulk(i));
        await new Promise((resolve) => setImmediate(resolve));
      }
    };
    const sent = async (): Promise<number> => {
      bed.clock.monotonicMs += 1000;
      const { text } = await bed.ask({ path: '/metrics' });
      return Number(/bathkeeper_stream_messages_total (\d+)/.exec(text)?.[1]);
    };
    // How much the kernel takes is its own affair; at some point it takes no more.
    let before = -1;
    while ((await sent()) !== before) {
      before = await sent();
      await commits(50);
    }
    // 100 more are committed, 6 MB; nothing but a beat, or what the kernel finds room for after all, is queued.
    await commits(100);
    expect((await sent()) - before).toBeLessThan(10);
    slow.ws.terminate();
  });
});

describe('stream, a connection that is dead', () => {
  it('is given up after a ping without an answer, and its place is free again', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { pingMs: 1000, viewers: 2 } }) });
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

describe('liveness', () => {
  it('keeps what answered since the last check and gives up what did not', () => {
    const liveness = new Liveness();
    const idle = { takenBytes: 0, congested: false };
    expect(liveness.check(idle)).toBe(true);
    liveness.heard();
    expect(liveness.check(idle)).toBe(true);
    expect(liveness.check(idle)).toBe(false);
  });

  it('keeps a congested connection while bytes still move, for its ping waits behind them', () => {
    const liveness = new Liveness();
    liveness.check({ takenBytes: 1000, congested: true });
    expect(liveness.check({ takenBytes: 1001, congested: true })).toBe(true);
    expect(liveness.check({ takenBytes: 1001, congested: true })).toBe(false);
  });

  it('is not deceived by bytes that the kernel alone has taken: uncongested, only an answer counts', () => {
    const liveness = new Liveness();
    liveness.check({ takenBytes: 1000, congested: false });
    expect(liveness.check({ takenBytes: 9000, congested: false })).toBe(false);
  });
});

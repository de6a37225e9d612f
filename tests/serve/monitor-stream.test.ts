import { describe, expect, test } from 'vitest';
import { delayMs } from '../../monitor/src/stream/backoff.ts';
import { type Link, SILENCE_MS, type SocketLike, StreamClient } from '../../monitor/src/stream/client.ts';
import { decode } from '../../monitor/src/stream/decode.ts';
import type { Backfill, Live, ServerMessage } from '../../shared/wire/stream.ts';
import { FakeHut, HUT } from '../browser/fake-hut.ts';

class FakeSocket implements SocketLike {
  sent: string[] = [];
  closed = false;
  onmessage: ((event: { data: unknown }) => void) | null = null;
  onclose: (() => void) | null = null;
  onerror: (() => void) | null = null;
  send(text: string): void {
    this.sent.push(text);
  }
  close(): void {
    this.closed = true;
  }
}

/** A page's world with a clock that only moves when told to. */
class World {
  now = 0;
  sockets: FakeSocket[] = [];
  timers = new Map<number, { at: number; run: () => void }>();
  next = 1;
  link: Link | null = null;
  last = 0;
  lives = 0;
  readonly client = new StreamClient(
    {
      open: () => {
        const socket = new FakeSocket();
        this.sockets.push(socket);
        return socket;
      },
      now: () => this.now,
      setTimer: (run, ms) => {
        this.timers.set(this.next, { at: this.now + ms, run });
        return this.next++;
      },
      clearTimer: (timer) => this.timers.delete(timer as number),
      random: () => 0.5,
    },
    {
      hello: () => undefined,
      backfill: (message) => this.took(message),
      live: (message) => {
        this.lives++;
        this.took(message);
      },
      paired: () => undefined,
      link: (link) => {
        this.link = link;
      },
      lastSequence: () => this.last,
    },
  );

  private took(message: Backfill | Live): void {
    for (const one of message.samples) this.last = Math.max(this.last, one.sequence);
  }

  get socket(): FakeSocket {
    return this.sockets.at(-1)!;
  }

  say(message: ServerMessage): void {
    this.socket.onmessage?.({ data: JSON.stringify(message) });
  }

  pass(ms: number): void {
    const end = this.now + ms;
    for (;;) {
      const due = [...this.timers]
        .filter(([, timer]) => timer.at <= end)
        .sort((a, b) => a[1].at - b[1].at)[0];
      if (!due) break;
      this.timers.delete(due[0]);
      this.now = due[1].at;
      due[1].run();
    }
    this.now = end;
  }
}

const hut = new FakeHut('holding', 1_764_000_000_000);
const hello = (bootId: string): ServerMessage => ({
  type: 'hello',
  bootId,
  sequence: 500,
  serverTime: 0,
  installation: HUT,
  paired: false,
});
const live = (sequence: number, degraded = false): ServerMessage => ({
  type: 'live',
  samples: [hut.sample(sequence)],
  events: [],
  status: hut.status(1_764_000_000_000),
  degraded,
});
const backfill = (from: number, to: number, done = true): ServerMessage => ({
  type: 'backfill',
  cookId: 'cook-hut',
  reset: false,
  tiers: [],
  samples: Array.from({ length: to - from + 1 }, (_, i) => hut.sample(from + i)),
  events: [],
  done,
});

function connected(): World {
  const world = new World();
  world.client.start();
  world.say(hello('one'));
  world.say(backfill(1, 500));
  world.say(live(501));
  return world;
}

describe('The pause before a new try', () => {
  test('doubles from 0.5 s to 30 s, with chance in its upper half, and never leaves those bounds', () => {
    const shortest = Array.from({ length: 40 }, (_, attempt) => delayMs(attempt, 0));
    const longest = Array.from({ length: 40 }, (_, attempt) => delayMs(attempt, 1));
    expect(shortest.slice(0, 6)).toEqual([500, 1000, 2000, 4000, 8000, 15_000]);
    expect(longest.slice(0, 6)).toEqual([1000, 2000, 4000, 8000, 16_000, 30_000]);
    expect(Math.min(...shortest)).toBe(500);
    expect(Math.max(...longest)).toBe(30_000);
  });
});

describe('The link to the controller', () => {
  test('asks for everything at first, and after a break for what came after the last sample, across boots', () => {
    const world = connected();
    expect(JSON.parse(world.sockets[0]!.sent[0]!)).toEqual({ type: 'resume', bootId: null, sequence: 0 });
    world.socket.onclose?.();
    world.pass(2000);
    world.say(hello('two'));
    expect(JSON.parse(world.socket.sent[0]!)).toEqual({ type: 'resume', bootId: 'one', sequence: 501 });
  });

  test('is not called live before data has come over this very connection', () => {
    const world = connected();
    const heard = world.link!.heardAtMs;
    world.socket.onclose?.();
    expect(world.link!.state).toBe('waiting');
    world.pass(1000);
    world.say(hello('one'));
    world.say({ type: 'beat', serverTime: 0, journalLagMs: 0 });
    expect(world.link).toMatchObject({ state: 'opening', heardAtMs: heard });
    world.say(live(502));
    expect(world.link).toMatchObject({ state: 'live', fault: null, heardAtMs: world.now });
  });

  test('is given up after 5 s of silence and tried anew', () => {
    const world = connected();
    world.pass(SILENCE_MS - 1);
    expect(world.link!.state).toBe('live');
    world.pass(1);
    expect(world.link!.state).toBe('waiting');
    expect(world.link!.fault).toBeNull();
    expect(world.sockets[0]!.closed).toBe(true);
    world.pass(1000);
    expect(world.sockets).toHaveLength(2);
  });

  test('is kept alive by beats alone', () => {
    const world = connected();
    for (let i = 0; i < 20; i++) {
      world.pass(2000);
      world.say({ type: 'beat', serverTime: 0, journalLagMs: 0 });
    }
    expect(world.link).toMatchObject({ state: 'live', heardAtMs: world.now });
  });

  test('is tried at ever longer intervals while nobody answers, and at once when the page wakes', () => {
    const world = new World();
    world.client.start();
    for (let i = 0; i < 6; i++) {
      world.socket.onclose?.();
      world.pass(world.link!.nextTryAtMs! - world.now);
    }
    world.socket.onclose?.();
    expect(world.link!.nextTryAtMs! - world.now).toBeGreaterThan(15_000);
    const before = world.sockets.length;
    world.client.wake();
    expect(world.sockets).toHaveLength(before + 1);
    world.socket.onclose?.();
    expect(world.link!.nextTryAtMs! - world.now).toBeLessThanOrEqual(1000);
  });

  test('is left alone by a waking page while data flows', () => {
    const world = connected();
    world.client.wake();
    expect(world.sockets).toHaveLength(1);
  });

  test('asks again for what a broken backfill owed, though newer samples had come meanwhile', () => {
    const world = connected();
    world.say(live(560, true));
    world.say(backfill(502, 520, false));
    world.say(live(561));
    world.socket.onclose?.();
    world.pass(2000);
    world.say(hello('one'));
    expect(JSON.parse(world.socket.sent[0]!).sequence).toBe(501);
    world.say(backfill(502, 561));
    world.socket.onclose?.();
    world.pass(4000);
    world.say(hello('one'));
    expect(JSON.parse(world.socket.sent[0]!).sequence).toBe(561);
  });

  test.each([
    ['no JSON at all', 'hallo'],
    ['a type nobody knows', '{"type":"surprise"}'],
    [
      'a status with a word for a temperature',
      JSON.stringify(live(502)).replace(/"celsius":[\d.]+/, '"celsius":"hot"'),
    ],
    ['a binary frame', new Uint8Array([1, 2, 3])],
  ])('shows %s as a fault of the connection and takes nothing from it', (_, data) => {
    const world = connected();
    const before = world.lives;
    world.socket.onmessage?.({ data });
    expect(world.lives).toBe(before);
    expect(world.link).toMatchObject({ state: 'waiting' });
    expect(world.link!.fault).toContain('cannot read');
  });

  test('ignores what an abandoned socket still says', () => {
    const world = connected();
    const old = world.socket;
    const { onmessage } = old;
    world.pass(SILENCE_MS);
    onmessage?.({ data: JSON.stringify(live(502)) });
    expect(world.lives).toBe(1);
  });
});

describe('Reading a message', () => {
  test('names the place that is wrong', () => {
    const text = JSON.stringify({ type: 'beat', serverTime: 'noon', journalLagMs: 0 });
    expect(decode(text)).toMatchObject({ ok: false, why: expect.stringContaining('serverTime') });
  });
});

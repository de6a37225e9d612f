import { describe, expect, it } from 'vitest';
import { LIMITS } from '../../controller/serve/limits.ts';
import { Recent } from '../../controller/serve/recent.ts';
import { type StreamCounts, Viewer, type ViewerShared } from '../../controller/serve/viewer.ts';
import { newRandom, type Random, uniform } from '../../shared/units/random.ts';
import type { ServerMessage } from '../../shared/wire/stream.ts';
import { FakeHub, INSTALLATION } from './fake-hub.ts';
import { expectSameAsJournal, WatchingPage } from './watching-page.ts';

const COUNTS: StreamCounts = { messages: 0, backfills: 0, degraded: 0, refused: 0, lost: 0 };

/** A socket whose messages arrive only when the test says so. */
class HeldSocket {
  readonly page: WatchingPage;
  readonly #waiting: string[] = [];
  #sent = 0;
  #received = 0;
  mostBytes = 0;
  closedWith: number | null = null;

  constructor(page: WatchingPage) {
    this.page = page;
  }

  send(text: string): void {
    this.#waiting.push(text);
    this.#sent += text.length;
    this.mostBytes = Math.max(this.mostBytes, this.#sent - this.#received);
  }

  sentBytes(): number {
    return this.#sent;
  }

  receivedBytes(): number {
    return this.#received;
  }

  close(code: number): void {
    this.closedWith = code;
  }

  get waiting(): number {
    return this.#waiting.length;
  }

  /** One message reaches the page. */
  release(): void {
    const text = this.#waiting.shift();
    if (text === undefined) return;
    this.page.take(text);
    this.#received += text.length;
  }
}

/** One controller run with one viewer, stepped by hand: reads, flushes and commits come in any order. */
class World {
  readonly random: Random;
  hub = new FakeHub();
  readonly page = new WatchingPage();
  #recent = new Recent(LIMITS.stream.recentSamples, null);
  #reads: (() => void)[] = [];
  #boots = 1;
  #cooks = 0;
  nowMs = 0;
  socket: HeldSocket | null = null;
  #viewer: Viewer | null = null;
  faults: unknown[] = [];
  mostBytes = 0;
  resumes = 0;
  readonly #swift: number;

  constructor(seed: number) {
    this.random = newRandom(seed);
    // From links that hardly carry what is committed to links that are never behind.
    this.#swift = 1 + Math.floor(uniform(this.random) * 8);
    this.hub.journal.beforeRead = () =>
      new Promise((resolve) => {
        this.#reads.push(resolve);
      });
  }

  chance(probability: number): boolean {
    return uniform(this.random) < probability;
  }

  connect(): void {
    this.disconnect();
    const shared: ViewerShared = {
      reader: this.hub.reader,
      recent: this.#recent,
      limits: {
        ...LIMITS.stream,
        slowBytes: 20_000,
        windowBytes: 4000,
        messageChars: 6000,
        liveSamples: 10,
      },
      counts: { ...COUNTS },
      monotonicMs: () => this.nowMs,
      fault: (error) => this.faults.push(error),
    };
    this.socket = new HeldSocket(this.page);
    this.#viewer = new Viewer(this.socket, shared);
    this.#viewer.greet({
      type: 'hello',
      bootId: this.hub.bootId,
      sequence: this.hub.latest()?.sequence ?? 0,
      serverTime: this.hub.wallMs,
      installation: INSTALLATION,
      paired: false,
    });
    const sequence = this.page.through;
    if (sequence > 0) this.resumes += 1;
    this.#viewer.receive(JSON.stringify({ type: 'resume', bootId: this.page.bootId, sequence }));
  }

  disconnect(): void {
    this.mostBytes = Math.max(this.mostBytes, this.socket?.mostBytes ?? 0);
    this.#viewer?.closed();
    this.socket = null;
    this.#viewer = null;
  }

  commit(count: number): void {
    this.nowMs += 1000 * count;
    const text = 'x'.repeat(Math.floor(uniform(this.random) * 300));
    const events = this.chance(0.3) ? [{ kind: 'note', text, data: {} }] : [];
    const committed = this.hub.tick(count, events);
    this.#recent.push(committed);
    const live: ServerMessage = {
      type: 'live',
      samples: [...committed.samples],
      events: [...committed.events],
      status: committed.status,
      degraded: false,
    };
    this.#viewer?.committed(committed, () => JSON.stringify(live));
  }

  restart(): void {
    this.disconnect();
    this.#boots += 1;
    const cook = this.hub.cook;
    this.hub = new FakeHub(this.hub.journal, `boot-${this.#boots}`);
    this.hub.cook = cook;
    this.hub.wallMs += Math.floor(uniform(this.random) * 4_000_000);
    this.#recent = new Recent(LIMITS.stream.recentSamples, null);
  }

  newCook(): void {
    this.#cooks += 1;
    this.hub.startCook(`cook-${this.#cooks}`);
  }

  async settle(): Promise<void> {
    await new Promise((resolve) => setImmediate(resolve));
  }

  /** One step of any kind. */
  async step(): Promise<void> {
    const dice = uniform(this.random);
    if (dice < 0.7) await this.#carry();
    else if (dice < 0.93) this.commit(1 + Math.floor(uniform(this.random) * (this.chance(0.05) ? 2500 : 4)));
    else if (dice < 0.95) this.connect();
    else if (dice < 0.96) this.disconnect();
    else if (dice < 0.97) this.restart();
    else if (dice < 0.98) this.newCook();
    else if (dice < 0.985) this.hub.endCook();
    else if (dice < 0.99) this.hub.wallMs -= Math.floor(uniform(this.random) * 2_000_000);
    await this.settle();
  }

  async #carry(): Promise<void> {
    for (let i = 0; i < this.#swift; i += 1) {
      if (this.chance(0.5)) this.#reads.shift()?.();
      else this.#release();
      await this.settle();
    }
  }

  #release(): void {
    this.socket?.release();
    this.#viewer?.moved();
  }

  /** Everything that was held back goes through; nothing new is committed. */
  async calm(): Promise<void> {
    if (this.socket === null) this.connect();
    for (let i = 0; i < 5000; i += 1) {
      this.#reads.shift()?.();
      this.#release();
      await this.settle();
      if (this.#reads.length === 0 && this.socket?.waiting === 0) return;
    }
    throw new Error('the viewer never came to rest');
  }
}

async function run(seed: number, steps: number): Promise<World> {
  const world = new World(seed);
  for (let i = 0; i < steps; i += 1) await world.step();
  // A viewer that has been given nothing yet waits for the first commit.
  world.commit(1);
  await world.calm();
  return world;
}

describe('stream, whatever the order of reads, flushes, commits, restarts and reconnects', () => {
  it('live plus backfill equals the journal: no sample is missing or comes twice within its tier', async () => {
    let resets = 0;
    let resumes = 0;
    let degraded = 0;
    for (let seed = 1; seed <= 80; seed += 1) {
      const world = await run(seed, 400);
      try {
        expect(world.faults).toEqual([]);
        expect(world.socket?.closedWith).toBeNull();
        expect(world.page.cookId).toBe(world.hub.cook?.cookId ?? null);
        expectSameAsJournal(world.page, world.hub.journal, world.hub.journal.lastSequence);
        expect(world.page.samples.at(-1)?.sequence).toBe(world.hub.journal.lastSequence);
      } catch (error) {
        throw new Error(`seed ${seed}: ${String(error)}`, { cause: error });
      }
      resets += world.page.resets;
      degraded += world.page.degraded;
      resumes += world.resumes;
    }
    // The campaign is worth something only if it came by every road.
    expect(resets).toBeGreaterThan(100);
    expect(resumes).toBeGreaterThan(100);
    expect(degraded).toBeGreaterThan(100);
  });

  it('what waits for one viewer stays bounded however slowly it reads', async () => {
    for (let seed = 1000; seed < 1008; seed += 1) {
      const world = new World(seed);
      world.newCook();
      world.commit(10);
      world.connect();
      for (let i = 0; i < 500; i += 1) {
        await world.step();
        // Ten commits for each step: the link can never carry it all.
        for (let commit = 0; commit < 10; commit += 1) world.commit(3);
      }
      world.disconnect();
      // The slow mark, one live message across it, one degraded status, one backfill message.
      expect(world.mostBytes, `seed ${seed}`).toBeLessThan(20_000 + 3 * 6000);
    }
  });
});

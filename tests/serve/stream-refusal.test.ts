import { afterEach, describe, expect, it } from 'vitest';
import { type Bed, makeBed, resumeOf, type Watcher, withLimits } from './server-bed.ts';

let bed: Bed;
afterEach(() => bed?.close());

/** Opens the stream as a page that holds nothing. */
async function follow(): Promise<Watcher> {
  const watcher = await bed.watch();
  await watcher.greeted();
  watcher.send(resumeOf(watcher.page));
  return watcher;
}

/** Until the page is at the last committed sequence and live. */
function caughtUp(watcher: Watcher): Promise<void> {
  const through = bed.hub.journal.lastSequence;
  return watcher.until((page) => page.whole && page.status?.sequence === through);
}

describe('stream, what a viewer may say (OWASP ASVS 5.0 V2.2.1)', () => {
  it('ends with 1008 where the first message is no resume, and where a second one comes', async () => {
    bed = await makeBed();
    bed.hub.commit();
    const bad = [
      'x',
      '{}',
      '[]',
      '{"type":"resume"}',
      '{"type":"resume","bootId":null,"sequence":-1}',
      '{"type":"resume","bootId":null,"sequence":1.5}',
      '{"type":"resume","bootId":null,"sequence":"1"}',
      '{"type":"live","samples":[]}',
    ];
    for (const text of bad) {
      const watcher = await bed.watch();
      watcher.send(text);
      // RFC 6455 section 7.4.1: 1008, the message violates the endpoint's policy.
      expect([text, await watcher.ended()]).toEqual([text, { code: 1008, reason: 'bad-request' }]);
    }
    const twice = await follow();
    await caughtUp(twice);
    twice.send(resumeOf(twice.page));
    expect((await twice.ended()).code).toBe(1008);
  });

  it('ends with 1009 where a message is larger than a client message may be, also when it unpacks to that', async () => {
    bed = await makeBed();
    bed.hub.commit();
    const watcher = await bed.watch();
    // Two hundred bytes compressed, far above the limit unpacked.
    watcher.send(' '.repeat(100_000));
    expect((await watcher.ended()).code).toBe(1009);
  });

  it('ends with 1008 where a binary message comes', async () => {
    bed = await makeBed();
    const watcher = await bed.watch();
    watcher.ws.send(Buffer.from('{"type":"resume","bootId":null,"sequence":0}'));
    expect((await watcher.ended()).code).toBe(1008);
  });

  it('ends with 1008 where a viewer never says what it has', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { resumeMs: 30 } }) });
    const watcher = await bed.watch();
    expect(await watcher.ended()).toEqual({ code: 1008, reason: 'bad-request' });
  });
});

describe('stream, how many may watch', () => {
  it('sends the one too many away with 1013, try again later, and takes it once a place is free', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { viewers: 3 } }) });
    bed.hub.commit();
    const watchers = [await follow(), await follow(), await follow()];
    for (const watcher of watchers) await caughtUp(watcher);
    const extra = await bed.watch();
    // 1013 of the IANA registry of close codes: try again later.
    expect(await extra.ended()).toEqual({ code: 1013, reason: 'too-many-viewers' });
    await watchers[0]?.close();
    while ((await bed.ask({ path: '/api/health' })).json().viewers !== 2) await Promise.resolve();
    await caughtUp(await follow());
    bed.hub.commit();
    for (const watcher of watchers.slice(1)) await caughtUp(watcher);
  });

  it('gives one address no more than its share', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { viewersPerAddress: 2 } }) });
    await follow();
    await follow();
    expect((await (await bed.watch()).ended()).code).toBe(1013);
  });

  it('takes the design load of 8 and four times as many by its own limits', async () => {
    bed = await makeBed({ limits: withLimits({ stream: { viewersPerAddress: 99 } }) });
    bed.hub.commit();
    const watchers: Watcher[] = [];
    for (let i = 0; i < 32; i += 1) {
      bed.clock.monotonicMs += 1000;
      watchers.push(await follow());
    }
    for (const watcher of watchers) await caughtUp(watcher);
    expect((await (await bed.watch()).ended()).code).toBe(1013);
  });
});

describe('stream, the end', () => {
  it('says going away, 1001, to every viewer when the server closes, and takes nobody in any more', async () => {
    bed = await makeBed();
    bed.hub.commit();
    const watchers = [await follow(), await follow()];
    for (const watcher of watchers) await caughtUp(watcher);
    await bed.close();
    for (const watcher of watchers) expect((await watcher.ended()).code).toBe(1001);
    expect(bed.hub.listeners).toBe(0);
    await expect(bed.watch()).rejects.toThrow(/ECONNREFUSED/);
  });

  it('closes a viewer with 1011 and a code of the registry where the past cannot be read, and logs why', async () => {
    bed = await makeBed();
    bed.hub.startCook('cook-1');
    bed.hub.commit(10);
    bed.hub.journal.beforeRead = () => Promise.reject(new Error('database disk image is malformed'));
    const watcher = await follow();
    expect(await watcher.ended()).toEqual({ code: 1011, reason: 'journal-failed' });
    expect(bed.log.some((line) => line.includes('fault=stream') && line.includes('malformed'))).toBe(true);
  });
});

import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { forwardClock } from '../../controller/reach/clock.ts';
import { reachFiles, Saver } from '../../controller/reach/store.ts';

const folders: string[] = [];
const folder = (): string => {
  const made = mkdtempSync(join(tmpdir(), 'reach-store-'));
  folders.push(made);
  return made;
};
afterEach(() => {
  for (const one of folders.splice(0)) rmSync(one, { recursive: true, force: true });
});

describe('what calling keeps on disk', () => {
  it('is read back as it was written, and is nothing at first', async () => {
    const at = join(folder(), 'new', 'folder');
    const store = reachFiles(at, () => 7);
    expect(await store.load('plan')).toBeNull();
    await store.save('plan', '{"a":1}');
    await store.save('push', '{"b":2}');
    expect(await reachFiles(at, () => 7).load('plan')).toBe('{"a":1}');
    expect(readdirSync(at).sort()).toEqual(['reach-plan.json', 'reach-push.json']);
  });

  it('can be read by its owner only, because there are keys in it', async () => {
    const at = folder();
    await reachFiles(at, () => 7).save('push', '{}');
    expect(statSync(join(at, 'reach-push.json')).mode & 0o777).toBe(0o600);
  });

  it('is put aside where it cannot be understood, never thrown away', async () => {
    const at = folder();
    writeFileSync(join(at, 'reach-push.json'), 'torn');
    const aside = await reachFiles(at, () => 7).setAside('push');
    expect(readFileSync(aside, 'utf8')).toBe('torn');
    expect(readdirSync(at)).toEqual(['reach-push.json.unreadable-7']);
  });

  it('is the old or the new where a write was cut, never half', async () => {
    const at = folder();
    const store = reachFiles(at, () => 7);
    await store.save('plan', '{"whole":true}');
    writeFileSync(join(at, 'reach-plan.json.new'), '{"ha');
    expect(await store.load('plan')).toBe('{"whole":true}');
    await store.save('plan', '{"next":true}');
    expect(await store.load('plan')).toBe('{"next":true}');
  });
});

describe('the saver', () => {
  it('writes one text at a time and of those that came meanwhile only the last', async () => {
    const written: string[] = [];
    const gates: (() => void)[] = [];
    const write = (text: string): Promise<void> => {
      written.push(text);
      return new Promise((resolve) => gates.push(resolve));
    };
    const saver = new Saver(write, () => undefined);
    for (const text of ['1', '2', '3']) saver.save(text);
    expect(written).toEqual(['1']);
    gates.shift()?.();
    await Promise.resolve();
    await new Promise((resolve) => setImmediate(resolve));
    expect(written).toEqual(['1', '3']);
    gates.shift()?.();
    await saver.settled();
    expect(written).toEqual(['1', '3']);
  });

  it('tells of each write whether it went well, and goes on after one that did not', async () => {
    const told: unknown[] = [];
    let fails = true;
    const write = async (): Promise<void> => {
      if (fails) throw new Error('no space');
    };
    const saver = new Saver(write, (error) => told.push(error === null ? 'well' : 'failed'));
    saver.save('1');
    await saver.settled();
    fails = false;
    saver.save('2');
    await saver.settled();
    expect(told).toEqual(['failed', 'well']);
  });
});

describe('the clock that only runs forward', () => {
  const clock = { mono: 0, wall: 1_000_000, trusted: true };
  const source = {
    monotonicMs: () => clock.mono,
    wallMs: () => clock.wall,
    wallTrusted: () => clock.trusted,
  };
  const kept = { clockMs: 5000, wallMs: 900_000 };

  it('takes no notice of a wall clock that steps while the controller runs', () => {
    const nowMs = forwardClock(source, null);
    clock.wall -= 1e9;
    clock.mono += 250;
    expect(nowMs()).toBe(250);
    clock.wall += 1e9;
    clock.mono = 0;
  });

  it('counts the time away by a wall clock that can be trusted, and a minute by one that cannot or went back', () => {
    expect(forwardClock(source, kept)()).toBe(105_000);
    clock.trusted = false;
    expect(forwardClock(source, kept)()).toBe(65_000);
    expect(forwardClock(source, null)()).toBe(0);
    clock.trusted = true;
    expect(forwardClock(source, { ...kept, wallMs: 2_000_000 })()).toBe(65_000);
  });
});

import { afterEach, describe, expect, it } from 'vitest';
import { memoryKept } from './reach-memory.ts';
import { deadPort, HERE, type HttpBed, httpBed } from './reach-servers.ts';
import { Whole } from './reach-whole.ts';

const SECRET = 'a secret of the valley, long enough';
const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0).reverse()) await close();
});

async function bed(): Promise<HttpBed> {
  const made = await httpBed();
  open.push(() => made.close());
  return made;
}

async function whole(config: object, options: ConstructorParameters<typeof Whole>[1] = {}): Promise<Whole> {
  const made = await new Whole(config, { env: { HOOK: SECRET }, ...options }).start();
  open.push(() => made.reach.close());
  return made;
}

const hook = (url: string) => ({ kind: 'webhook', url, secret: { env: 'HOOK' } });

describe('guessing codes', () => {
  it('is cut short: ten wrong ones a minute from everybody together, then none is judged', async () => {
    const hut = await whole({
      people: [{ id: 'cook', name: 'Cook', channels: [hook('http://127.0.0.1:9/')] }],
    });
    for (let i = 0; i < 10; i += 1)
      expect(hut.reach.answer('0000-0000')).toEqual({ ok: false, why: 'unknown' });
    expect(hut.reach.answer('0000-0000')).toEqual({ ok: false, why: 'too-many' });
    hut.clockMs += 60_000;
    expect(hut.reach.answer('0000-0000')).toEqual({ ok: false, why: 'unknown' });
  });
});

describe('the heartbeat', () => {
  it('comes at its interval while ticks reach the disk, and stops when they do not', async () => {
    const elsewhere = await bed();
    const hut = await whole({ heartbeat: { url: `${elsewhere.url}/beat`, everyS: 60 } });
    await hut.commit();
    await hut.pass(180, 10);
    const beats = elsewhere.taken.length;
    expect([3, 4]).toContain(beats);
    expect(JSON.parse(String(elsewhere.taken[0]?.body))).toMatchObject({
      kitchen: 'Hut kitchen',
      sequence: 1234,
    });
    // The loop hangs: time passes, no commit comes.
    for (let i = 0; i < 30; i += 1) {
      hut.clockMs += 10_000;
      hut.reach.tick();
      await hut.reach.idle();
    }
    expect(elsewhere.taken.length).toBeLessThanOrEqual(beats + 1);
    expect(hut.reach.failing()).toMatchObject([{ channelId: 'heartbeat' }]);
  });

  it('that nobody takes makes an alarm here, with why', async () => {
    const hut = await whole({
      heartbeat: { url: `http://${HERE}:${await deadPort()}/secret-path`, everyS: 60 },
    });
    await hut.commit();
    await hut.pass(30, 10);
    const [failing] = hut.reach.failing();
    expect(failing?.why).toContain('ECONNREFUSED');
    expect(JSON.stringify([failing, hut.rows, hut.reach.view()])).not.toContain('secret-path');
  });
});

describe('the sounder', () => {
  it('sounds what rings, keeps still when silenced for minutes, and sounds again for what comes after', async () => {
    const heard: (string | null)[] = [];
    const hut = await whole({}, { sound: (level) => void heard.push(level) });
    await hut.alarm('bath-high', 'unacknowledged').pass(2);
    expect(hut.reach.silence('Cook')).toBe(hut.wallMs + 5 * 60_000);
    await hut.pass(2);
    await hut.alarm('probe-invalid', 'unacknowledged').pass(2);
    await hut.alarm('probe-invalid', 'acknowledged', 'Cook').pass(2);
    expect(heard).toEqual(['medium', null, 'high', null]);
    await hut.pass(300, 10);
    expect(heard.at(-1)).toBe('medium');
    expect(hut.rows.find((row) => row.outcome === 'silenced')?.detail).toContain('not acknowledged');
  });

  it('is not silent for what was silenced once it gets worse', async () => {
    const heard: (string | null)[] = [];
    const hut = await whole({}, { sound: (level) => void heard.push(level) });
    await hut.alarm('bath-low', 'unacknowledged').pass(2);
    hut.reach.silence('Cook');
    await hut.pass(2);
    await hut.alarm('bath-below-hot-limit', 'unacknowledged').pass(2);
    expect(heard).toEqual(['medium', null, 'high']);
  });

  it('is told its level again now and then, and is failing when it does not sound', async () => {
    let broken = true;
    let told = 0;
    const sound = async (): Promise<void> => {
      told += 1;
      if (broken) throw new Error('no such board');
    };
    const hut = await whole({}, { sound });
    await hut.alarm('bath-high', 'unacknowledged').pass(1);
    expect(hut.reach.failing()).toMatchObject([{ channelId: 'sounder' }]);
    broken = false;
    await hut.pass(6);
    expect(hut.reach.failing()).toEqual([]);
    const before = told;
    await hut.pass(60, 5);
    expect(told - before).toBe(2);
  });

  it('can be tried when nothing rings, and there is nothing to silence then', async () => {
    const heard: (string | null)[] = [];
    const hut = await whole({}, { sound: (level) => void heard.push(level) });
    await hut.commit();
    expect(hut.reach.testSounder()).toBe(true);
    await hut.pass(5);
    expect(heard).toEqual([null, 'low', null]);
    expect(hut.reach.silence('Cook')).toBeNull();
    expect((await whole({})).reach.testSounder()).toBe(false);
  });
});

describe('a restart', () => {
  const people = (url: string) => [
    { id: 'cook', name: 'Cook', channels: [{ kind: 'push' }] },
    { id: 'warden', name: 'Warden', channels: [hook(url)] },
  ];
  const push = { contact: 'mailto:warden@hut.example' };

  it('goes on with the calls where they were, over the time away by a clock that can be trusted', async () => {
    const warden = await bed();
    const store = memoryKept();
    const config = { people: people(warden.url).slice(1), mail: null };
    const hut = await whole(config, { store });
    await hut.alarm('probe-invalid', 'unacknowledged').commit();
    expect(warden.taken).toHaveLength(1);
    await hut.reach.close();
    hut.clockMs += 601_000;
    await hut.start();
    await hut.commit();
    // Ten minutes later, unacknowledged: called again, not from the start.
    expect(warden.taken).toHaveLength(2);
    expect(warden.taken[1]?.headers['idempotency-key']).not.toBe(warden.taken[0]?.headers['idempotency-key']);
  });

  it('keeps keys, phones, proofs and tests that wait; damage is put aside and told', async () => {
    const store = memoryKept();
    const hut = await whole({ people: people('http://127.0.0.1:9/'), push }, { store });
    const key = hut.reach.pushKey();
    await hut.reach.close();
    await hut.start();
    expect(hut.reach.pushKey()).toBe(key);
    await hut.reach.close();
    store.texts.set('push', '{"torn');
    store.texts.set('plan', '{"version":1}');
    await hut.start();
    expect(hut.reach.pushKey()).not.toBe(key);
    expect(hut.log.join('\n')).toMatch(/"plan" is damaged.*put aside as plan\.aside/);
    expect(hut.log.join('\n')).toMatch(/"push" is damaged/);
  });

  it('puts aside what cannot be read, and never writes over it', async () => {
    const store = memoryKept();
    const load = async (): Promise<never> => {
      throw Object.assign(new Error('input/output error'), { code: 'EIO' });
    };
    store.texts.set('push', 'keys and phones of before');
    const moved: string[] = [];
    const setAside = async (name: 'plan' | 'push') => {
      moved.push(`${name} ${store.texts.get(name) ?? ''}`);
      return `${name}.aside`;
    };
    const hut = await whole(
      { people: people('http://127.0.0.1:9/'), push },
      { store: { ...store, load, setAside } },
    );
    expect(moved).toEqual(['plan ', 'push keys and phones of before']);
    expect(hut.log.join('\n')).toMatch(/"push" cannot be read \(EIO\)\. It was put aside as push\.aside/);
  });

  it('does not write the disk each second while nothing happens, nor while an alarm merely stands', async () => {
    const store = memoryKept();
    const hut = await whole({ heartbeat: { url: (await bed()).url } }, { store });
    await hut.alarm('probe-invalid', 'unacknowledged').pass(5);
    const before = store.writes;
    await hut.pass(300);
    expect(store.writes).toBe(before);
  });

  it('is failing, and goes on calling, where nothing can be written', async () => {
    const warden = await bed();
    const store = memoryKept();
    const hut = await whole({ people: people(warden.url).slice(1) }, { store });
    store.fails = true;
    await hut.alarm('probe-invalid', 'unacknowledged').pass(1);
    expect(warden.taken).toHaveLength(1);
    expect(hut.reach.failing()).toMatchObject([
      { channelId: 'store-plan', why: 'cannot be written (ENOSPC)' },
    ]);
    store.fails = false;
    await hut.alarm('probe-invalid', 'acknowledged', 'Cook').pass(2);
    expect(hut.reach.failing()).toEqual([]);
  });
});

describe('secrets', () => {
  it('are in no line of the log, no row, no view and nothing kept, whatever goes wrong', async () => {
    const service = await bed();
    service.answer = (response, { headers }) => void response.writeHead(500).end(JSON.stringify(headers));
    const store = memoryKept();
    const hut = await whole(
      {
        people: [{ id: 'cook', name: 'Cook', channels: [hook(`${service.url}/path-secret`)] }],
        mail: {
          host: HERE,
          port: await deadPort(),
          from: 'bath@hut.example',
          user: 'bath',
          password: { env: 'MAIL' },
        },
      },
      { store, env: { HOOK: SECRET, MAIL: 'mail-secret' } },
    );
    await hut.alarm('probe-invalid', 'unacknowledged').pass(30);
    const said = JSON.stringify([
      hut.log,
      hut.rows,
      hut.reach.view(),
      hut.reach.failing(),
      [...store.texts.values()],
    ]);
    for (const secret of [SECRET, 'mail-secret', 'path-secret']) expect(said).not.toContain(secret);
    expect(hut.rows.length).toBeGreaterThan(1);
  });
});

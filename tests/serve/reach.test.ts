import { randomBytes } from 'node:crypto';
import { SMTPServer } from 'smtp-server';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { messageSchema, pushPayloadSchema } from '../../shared/wire/reach-view.ts';
import { type Broker, Listener, startBroker } from './reach-broker.ts';
import { decryptPush, phoneKeys } from './reach-push-crypto.ts';
import { HERE, type HttpBed, httpBed, listen, makeCertificates } from './reach-servers.ts';
import { Whole } from './reach-whole.ts';

const SECRET = 'a secret of the valley, long enough';
let certificates: Awaited<ReturnType<typeof makeCertificates>>;
const open: (() => Promise<void>)[] = [];

beforeAll(async () => {
  certificates = await makeCertificates();
});
afterEach(async () => {
  for (const close of open.splice(0).reverse()) await close();
});
afterAll(() => certificates.remove());

async function bed(...args: Parameters<typeof httpBed>): Promise<HttpBed> {
  const made = await httpBed(...args);
  open.push(() => made.close());
  return made;
}

/** A mail server that takes everything and, lying, drops it. */
async function droppingMail(): Promise<{ port: number; taken: () => number }> {
  let taken = 0;
  const smtp = new SMTPServer({
    key: certificates.good.key,
    cert: certificates.good.cert,
    authOptional: true,
    onData(stream, _session, done) {
      taken += 1;
      stream.resume();
      stream.on('end', () => done());
    },
  });
  smtp.on('error', () => undefined);
  open.push(() => new Promise((resolve) => smtp.close(() => resolve())));
  return { port: await listen(smtp.server), taken: () => taken };
}

async function whole(config: object, options: ConstructorParameters<typeof Whole>[1] = {}): Promise<Whole> {
  const env = { HOOK: SECRET };
  const made = await new Whole({ caFile: certificates.caFile, ...config }, { env, ...options }).start();
  open.push(() => made.reach.close());
  return made;
}

const hook = (url: string) => ({ kind: 'webhook', url, secret: { env: 'HOOK' } });

describe('calling, with real servers', () => {
  it('goes from a mail server that lies on to the next person, because nobody acknowledges; and ends with who does', async () => {
    const mail = await droppingMail();
    const warden = await bed();
    const hut = await whole({
      people: [
        { id: 'cook', name: 'Night cook', channels: [{ kind: 'mail', to: 'cook@hut.example' }] },
        { id: 'warden', name: 'Warden', channels: [hook(warden.url)] },
      ],
      mail: { host: HERE, port: mail.port, from: 'bath@hut.example' },
    });
    await hut.alarm('bath-below-hot-limit', 'unacknowledged').commit();
    await hut.pass(179, 60);
    expect([mail.taken(), warden.taken.length]).toEqual([1, 0]);
    await hut.pass(1);
    expect(warden.taken).toHaveLength(1);
    expect(messageSchema.parse(JSON.parse(String(warden.taken[0]?.body)))).toMatchObject({
      kind: 'alarm',
      priority: 'high',
      alarms: [{ alarmId: 'bath-below-hot-limit', active: true }],
    });
    await hut.alarm('bath-below-hot-limit', 'acknowledged', 'Warden').pass(3600, 60);
    expect(warden.taken.map((one) => JSON.parse(String(one.body)).kind)).toEqual(['alarm', 'over']);
    expect(mail.taken()).toBe(2);
    expect(hut.lines().sort()).toEqual([
      'mail to c…@hut.example alarm accepted',
      'mail to c…@hut.example over accepted',
      `webhook ${warden.url} alarm accepted`,
      `webhook ${warden.url} over accepted`,
    ]);
    expect(hut.reach.failing()).toEqual([]);
  });

  it('repeats what failed until it is taken, once, and names the channel as failing meanwhile', async () => {
    const warden = await bed();
    const statuses = [500, 503, 500];
    warden.answer = (response) => void response.writeHead(statuses.shift() ?? 204).end();
    const hut = await whole({ people: [{ id: 'warden', name: 'Warden', channels: [hook(warden.url)] }] });
    await hut.alarm('probe-invalid', 'unacknowledged').commit();
    await hut.pass(10);
    expect(hut.reach.failing()).toMatchObject([
      { channel: `webhook ${warden.url} for Warden`, why: `${warden.url} answered 503` },
    ]);
    await hut.pass(60);
    expect(hut.reach.failing()).toEqual([]);
    expect(hut.lines().map((line) => line.split(' ').at(-1))).toEqual([
      'failed',
      'failed',
      'failed',
      'accepted',
    ]);
    const keys = new Set(warden.taken.map((one) => one.headers['idempotency-key']));
    expect([warden.taken.length, keys.size]).toEqual([4, 1]);
    await hut.pass(300, 10);
    expect(warden.taken).toHaveLength(4);
  });

  it('calls the next channel at once where the first is flatly refused', async () => {
    const gone = await bed();
    gone.answer = (response) => void response.writeHead(410).end();
    const good = await bed();
    const channels = [hook(gone.url), hook(good.url)];
    const hut = await whole({ people: [{ id: 'warden', name: 'Warden', channels }] });
    await hut.alarm('probe-invalid', 'unacknowledged').commit();
    expect([gone.taken.length, good.taken.length]).toEqual([1, 1]);
  });

  it('is not held up by a channel that hangs: others are served, and the caller never waits', async () => {
    const mute = await bed();
    mute.answer = () => undefined;
    const good = await bed();
    const people = [
      { id: 'cook', name: 'Cook', channels: [hook(mute.url)] },
      { id: 'warden', name: 'Warden', channels: [hook(good.url)] },
    ];
    const hut = await whole({ people });
    hut.alarm('probe-invalid', 'unacknowledged');
    void hut.commit();
    while (mute.taken.length === 0) await new Promise((resolve) => setTimeout(resolve, 5));
    // The attempt is still under way: the steps below return although it is.
    for (let i = 0; i < 180; i += 1) {
      hut.clockMs += 1000;
      hut.reach.tick();
    }
    while (good.taken.length === 0) await new Promise((resolve) => setTimeout(resolve, 5));
    expect(mute.taken.length).toBeLessThanOrEqual(2);
  });

  it('sends by push to the phone that subscribed, and the answer to a test is dated proof that it is read', async () => {
    const service = await bed(certificates.good);
    const hut = await whole({
      people: [{ id: 'cook', name: 'Night cook', channels: [{ kind: 'push' }] }],
      push: { contact: 'mailto:warden@hut.example' },
      pageUrl: 'http://bath.hut.example:8410/',
    });
    const keys = phoneKeys(null, randomBytes(16));
    const p256dh = keys.ecdh.getPublicKey('base64url');
    const subscription = {
      endpoint: `${service.url}/p`,
      keys: { p256dh, auth: keys.auth.toString('base64url') },
    };
    expect(hut.reach.subscribe('cook', subscription)).toBeNull();
    expect(hut.reach.subscribe('nobody', subscription)).toBe('there is no such person');
    expect(hut.reach.test('cook')).toMatchObject({ ok: true, tooSoon: [] });
    await hut.commit();
    const payload = pushPayloadSchema.parse(JSON.parse(decryptPush(service.taken[0]!.body, keys)));
    expect(payload).toMatchObject({ kind: 'test' });
    expect(payload.link).toBe(`http://bath.hut.example:8410/reach/answer?code=${payload.code}`);
    expect(hut.reach.proofs(12 * 3600_000)).toEqual([]);
    await hut.pass(600, 600);
    const answeredMs = hut.wallMs;
    expect(hut.reach.answer(payload.code ?? '')).toMatchObject({
      ok: true,
      proof: { personId: 'cook', kind: 'push', answeredMs, ageMs: 0 },
    });
    expect(hut.reach.answer(payload.code ?? '')).toEqual({ ok: false, why: 'unknown' });
    await hut.pass(12 * 3600, 6 * 3600);
    expect(hut.reach.proofs(12 * 3600_000)).toHaveLength(1);
    await hut.pass(1);
    expect(hut.reach.proofs(12 * 3600_000)).toEqual([]);
    expect(hut.reach.view().people[0]?.channels[0]).toMatchObject({
      lastAnsweredMs: answeredMs,
      testWaits: false,
    });
  });

  it('publishes telemetry at its interval and messages to people through one broker', async () => {
    const broker: Broker = await startBroker();
    open.push(() => broker.stop());
    const hut = await whole({
      people: [{ id: 'cook', name: 'Night cook', channels: [{ kind: 'mqtt' }] }],
      mqtt: { host: HERE, port: broker.port, tls: false },
    });
    const listener = await Listener.at(broker.port);
    open.push(() => listener.close());
    await listener.next('bathkeeper/availability');
    await hut.alarm('bath-high', 'unacknowledged').commit();
    await listener.next('bathkeeper/message/cook');
    await hut.pass(20);
    await listener.next('bathkeeper/state', 1);
    const states = listener.got.filter((one) => one.topic === 'bathkeeper/state').length;
    // In 21 s at an interval of 10 s, whether or not the first found the connection up.
    expect(states).toBeGreaterThanOrEqual(2);
    expect(states).toBeLessThanOrEqual(3);
    await hut.reach.close();
    await listener.next('bathkeeper/availability', 1);
  });
});

import { afterEach, describe, expect, it } from 'vitest';
import { answerThanks } from '../../controller/reach/answer-page.ts';
import { type ReachRequest, reachRoutes } from '../../controller/reach/routes.ts';
import { reachViewSchema } from '../../shared/wire/reach-view.ts';
import { type HttpBed, httpBed } from './reach-servers.ts';
import { Whole } from './reach-whole.ts';

const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0).reverse()) await close();
});

async function hut(): Promise<{ hut: Whole; warden: HttpBed; codes: () => string[] }> {
  const warden = await httpBed();
  open.push(() => warden.close());
  const config = {
    people: [
      { id: 'cook', name: '<b>Cook</b>', channels: [{ kind: 'push' }] },
      {
        id: 'warden',
        name: 'Warden',
        channels: [{ kind: 'webhook', url: `${warden.url}/path-secret`, secret: { env: 'HOOK' } }],
      },
    ],
    push: { contact: 'mailto:warden@hut.example' },
  };
  const made = await new Whole(config, {
    env: { HOOK: 'a secret, long enough' },
    endpointFault: () => null,
  }).start();
  open.push(() => made.reach.close());
  const codes = (): string[] => warden.taken.map((one) => String(JSON.parse(String(one.body)).code));
  return { hut: made, warden, codes };
}

function call(made: Whole, method: string, path: string, more: Partial<ReachRequest> = {}) {
  const route = reachRoutes(made.reach).find((one) => one.method === method && one.path === path);
  if (!route) throw new Error(`no route ${method} ${path}`);
  const request = {
    body: undefined,
    query: {},
    who: 'Kitchen tablet',
    protocol: 'http',
    hostname: 'localhost',
  };
  return route.handle({ ...request, ...more });
}
const refusal = (attempt: () => unknown): unknown => {
  try {
    attempt();
  } catch (error) {
    return error;
  }
  return null;
};

describe('the routes of calling', () => {
  it('need a paired phone for all that rings at somebody or adds a phone; looking and answering need none', async () => {
    const routes = reachRoutes((await hut()).hut.reach).map(
      ({ method, path, needs }) => `${method} ${path} ${needs}`,
    );
    expect(routes).toEqual([
      'GET /api/reach nothing',
      'POST /api/reach/test pairing',
      'POST /api/reach/sounder/silence pairing',
      'POST /api/reach/sounder/test pairing',
      'POST /api/reach/answer nothing',
      'GET /reach/answer nothing',
      'POST /reach/answer nothing',
      'GET /api/reach/push nothing',
      'POST /api/reach/push/subscribe pairing',
      'POST /api/reach/push/unsubscribe nothing',
    ]);
  });

  it('show people, channels, log and failures by the schema of the wire, without secrets', async () => {
    const { hut: made } = await hut();
    await made.alarm('probe-invalid', 'unacknowledged').pass(3);
    const { body } = call(made, 'GET', '/api/reach');
    const shown = reachViewSchema.parse(body);
    expect(shown.people.map((one) => one.personId)).toEqual(['cook', 'warden']);
    expect(shown.log.map((row) => row.outcome)).toEqual(['gave-up', 'accepted']);
    expect(shown.failing[0]?.why).toContain('no phone has subscribed');
    expect(JSON.stringify(body)).not.toContain('path-secret');
  });

  it('say that somebody sleeps only where the calling takes them for asleep', async () => {
    const quietHours = { from: '22:00', to: '06:00' };
    const cook = { id: 'cook', name: 'Cook', channels: [{ kind: 'push' }] };
    const push = { contact: 'mailto:warden@hut.example' };
    const made = await new Whole({ people: [cook], quietHours, timeZone: 'Europe/Zurich', push }).start();
    open.push(() => made.reach.close());
    expect(made.reach.view().people[0]?.quietNow).toBe(true);
    made.wallTrusted = false;
    expect(made.reach.view().people[0]?.quietNow).toBe(false);
  });

  it('send a test, take its answer once, and say what was proved', async () => {
    const { hut: made, codes } = await hut();
    const { body } = call(made, 'POST', '/api/reach/test', { body: { personId: 'warden' } });
    expect(body).toMatchObject({ tooSoon: [] });
    await made.commit();
    const again = { body: { personId: 'warden' } };
    expect(refusal(() => call(made, 'POST', '/api/reach/test', again))).toMatchObject({
      code: 'too-many-requests',
    });
    const nobody = { body: { personId: 'nobody' } };
    expect(refusal(() => call(made, 'POST', '/api/reach/test', nobody))).toMatchObject({ code: 'not-found' });
    const answer = { body: { code: codes()[0]?.toLowerCase().replace('-', ' ') } };
    expect(call(made, 'POST', '/api/reach/answer', answer).body).toMatchObject({
      person: 'Warden',
      kind: 'webhook',
    });
    expect(refusal(() => call(made, 'POST', '/api/reach/answer', answer))).toMatchObject({
      code: 'not-found',
    });
  });

  it('do not count a mere look at the link as an answer: programs look at links too', async () => {
    const { hut: made, codes } = await hut();
    call(made, 'POST', '/api/reach/test', { body: { personId: 'warden' } });
    await made.commit();
    const code = codes()[0] ?? '';
    const form = call(made, 'GET', '/reach/answer', { query: { code } });
    expect(form).toMatchObject({ status: 200, type: 'html' });
    expect(form.body).toContain(`value="${code}"`);
    expect(made.reach.proofs(1e9)).toEqual([]);
    const thanks = call(made, 'POST', '/reach/answer', { body: `code=${encodeURIComponent(code)}` });
    expect(thanks.body).toContain('Warden is reached');
    expect(made.reach.proofs(1e9)).toHaveLength(1);
    expect(call(made, 'POST', '/reach/answer', { body: 'code=0000-0000' })).toMatchObject({ status: 404 });
    expect(call(made, 'POST', '/reach/answer', { body: null })).toMatchObject({ status: 404 });
  });

  it('let nothing from the address or from names become part of the page', async () => {
    const { hut: made } = await hut();
    const form = call(made, 'GET', '/reach/answer', { query: { code: '"><script>alert(1)</script>' } });
    expect(form.body).not.toContain('<script');
    expect(form.body).not.toContain('"">');
    expect(call(made, 'GET', '/reach/answer', { query: { code: ['a', 'b'] } }).body).toContain('value=""');
    const channel = { personId: 'x', channelId: 'x', channel: 'push', kind: 'push', answeredMs: 0, ageMs: 0 };
    expect(answerThanks({ ...channel, person: '<b>Cook</b> & "co"' })).not.toMatch(/<b>|& |"co"/);
  });

  it('offer notifications only to pages on https or on the machine itself, with the key to subscribe by', async () => {
    const { hut: made } = await hut();
    const key = made.reach.pushKey();
    expect(call(made, 'GET', '/api/reach/push').body).toEqual({ publicKey: key, why: null });
    const far = { protocol: 'http', hostname: '192.168.1.20' };
    expect(call(made, 'GET', '/api/reach/push', far).body).toMatchObject({ publicKey: null });
    const subscription = {
      endpoint: 'https://push.example/1',
      expirationTime: null,
      keys: { p256dh: 'A'.repeat(87), auth: 'A'.repeat(22) },
    };
    const body = { personId: 'cook', subscription };
    expect(refusal(() => call(made, 'POST', '/api/reach/push/subscribe', { ...far, body }))).toMatchObject({
      code: 'bad-request',
    });
    expect(call(made, 'POST', '/api/reach/push/subscribe', { body }).body).toEqual({ subscribed: true });
    const gone = { body: { endpoint: subscription.endpoint } };
    expect(call(made, 'POST', '/api/reach/push/unsubscribe', gone).body).toEqual({ unsubscribed: true });
    expect(call(made, 'POST', '/api/reach/push/unsubscribe', gone).body).toEqual({ unsubscribed: false });
  });

  it('say where the configuration has no push', async () => {
    const made = await new Whole({}).start();
    open.push(() => made.reach.close());
    expect(call(made, 'GET', '/api/reach/push').body).toMatchObject({ publicKey: null });
  });

  it('silence the sounder in the name of who asked, and refuse where nothing rings or sounds', async () => {
    const { hut: made } = await hut();
    const silence = () => call(made, 'POST', '/api/reach/sounder/silence', { body: {} });
    expect(refusal(silence)).toMatchObject({ code: 'alarm-unknown' });
    await made.alarm('probe-invalid', 'unacknowledged').commit();
    expect(silence().body).toEqual({ untilMs: made.wallMs + 300_000 });
    expect(made.rows.find((row) => row.outcome === 'silenced')?.detail).toContain('by Kitchen tablet');
    const test = () => call(made, 'POST', '/api/reach/sounder/test', { body: {} });
    expect(refusal(test)).toMatchObject({ code: 'not-found' });
  });

  it('name every fault of a body that is not of the form', async () => {
    const { hut: made } = await hut();
    const body = { personId: 'COOK', channelId: 5, more: true };
    const fault = refusal(() => call(made, 'POST', '/api/reach/test', { body })) as Error;
    for (const word of ['personId', 'channelId', 'more']) expect(fault.message).toContain(word);
  });
});

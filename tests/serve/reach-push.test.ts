import { randomBytes } from 'node:crypto';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { isPublicAddress } from '../../controller/reach/edge/public-address.ts';
import { payloadOf, pushEdge } from '../../controller/reach/edge/push.ts';
import { endpointFault, openPushDesk, type PushDesk, pushFault } from '../../controller/reach/push-desk.ts';
import { pushPayloadSchema, pushSubscriptionSchema } from '../../shared/wire/reach-view.ts';
import { decryptPush, type PhoneKeys, phoneKeys, vapidClaims } from './reach-push-crypto.ts';
import {
  afterTheTime,
  deadPort,
  type HttpBed,
  httpBed,
  makeCertificates,
  means,
  message,
  patience,
} from './reach-servers.ts';

const CONTACT = 'mailto:warden@hut.example';
let certificates: Awaited<ReturnType<typeof makeCertificates>>;
let service: HttpBed;
const open: { close(): Promise<void> }[] = [];

beforeAll(async () => {
  certificates = await makeCertificates();
});
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});
afterAll(() => certificates.remove());

async function pushService(): Promise<HttpBed> {
  service = await httpBed(certificates.good);
  service.answer = (response) => void response.writeHead(201).end();
  open.push(service);
  return service;
}

const desk = (): PushDesk => openPushDesk(null, () => undefined)!;
const edge = (to: PushDesk, more: Parameters<typeof means>[0] = {}) =>
  pushEdge(to, 'cook', CONTACT, means({ caFile: certificates.caFile, ...more }));

/** A phone that subscribed at the push service. */
function phone(at: PushDesk, url: string, personId = 'cook'): PhoneKeys {
  const keys = phoneKeys(null, randomBytes(16));
  const p256dh = keys.ecdh.getPublicKey('base64url');
  const subscription = { endpoint: url, keys: { p256dh, auth: keys.auth.toString('base64url') } };
  at.subscribe(personId, pushSubscriptionSchema.parse(subscription), 0);
  return keys;
}

describe('the check of push messages', () => {
  it('decrypts the example of RFC 8291, section 5 and appendix A', () => {
    const url = (text: string): Buffer => Buffer.from(text, 'base64url');
    const keys = phoneKeys(url('q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94'), url('BTBZMqHH6r4Tts7J_aSIgg'));
    const body = url(
      'DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN',
    );
    expect(decryptPush(body, keys)).toBe('When I grow up, I want to be a watermelon');
  });
});

describe('push', () => {
  it('reaches each phone of the person, readable by that phone alone', async () => {
    const { url, taken } = await pushService();
    const at = desk();
    const [first, second] = [phone(at, `${url}/p/1`), phone(at, `${url}/p/2`)];
    phone(at, `${url}/p/3`, 'warden');
    const end = await edge(at).send(message(), patience());
    expect(end).toEqual({ ok: true, detail: 'the push service took it for 2 of 2 phone(s)' });
    const bodyOf = (path: string): Buffer => taken.find((one) => one.path === path)!.body;
    const payload = pushPayloadSchema.parse(JSON.parse(decryptPush(bodyOf('/p/1'), first)));
    expect(payload).toMatchObject({ priority: 'high', title: message().subject, tag: 'alarm-probe-invalid' });
    expect(payload.body).toContain('Measure the water by hand.');
    expect(JSON.parse(decryptPush(bodyOf('/p/2'), second))).toEqual(payload);
    expect(() => decryptPush(bodyOf('/p/1'), second)).toThrow();
    expect(taken.map((one) => one.path).sort()).toEqual(['/p/1', '/p/2']);
  });

  it('is signed by the keys of this controller for that push service only, and for less than a day (RFC 8292)', async () => {
    const { url, taken } = await pushService();
    const at = desk();
    phone(at, `${url}/p/1`);
    await edge(at).send(message(), patience());
    const { publicKey, claims } = vapidClaims(String(taken[0]?.headers.authorization));
    expect(publicKey).toBe(at.keys.publicKey);
    expect(claims).toMatchObject({ aud: url, sub: CONTACT });
    expect(claims.exp - Date.now() / 1000).toBeLessThanOrEqual(24 * 3600);
  });

  it('asks to be handed over at once, to be kept for hours, and to replace what it repeats (RFC 8030, 5.2 to 5.4)', async () => {
    const { url, taken } = await pushService();
    const at = desk();
    phone(at, `${url}/p/1`);
    for (const key of ['one', 'two']) await edge(at).send(message({ key }), patience());
    await edge(at).send(message({ kind: 'test', key: 'three', alarms: [], code: 'ABCD-EFGH' }), patience());
    expect(taken[0]?.headers).toMatchObject({
      urgency: 'high',
      ttl: '14400',
      'content-encoding': 'aes128gcm',
    });
    const topics = taken.map((one) => one.headers.topic);
    expect(topics[0]).toMatch(/^[A-Za-z0-9_-]{1,32}$/);
    expect(topics[1]).toBe(topics[0]);
    expect(topics[2]).not.toBe(topics[0]);
  });

  it('forgets a phone that is gone for good, and keeps one whose service fails', async () => {
    const { url } = await pushService();
    const at = desk();
    for (const path of ['gone', 'never', 'sick']) phone(at, `${url}/${path}`);
    const status: Record<string, number> = { '/gone': 410, '/never': 404, '/sick': 500 };
    service.answer = (response, { path }) => void response.writeHead(status[path] ?? 201).end();
    const end = await edge(at).send(message(), patience());
    expect(end).toMatchObject({ ok: false, permanent: false, why: 'the push service answered 500' });
    expect(at.of('cook').map((one) => one.endpoint)).toEqual([`${url}/sick`]);
  });

  it('is delivered where one phone of several takes it', async () => {
    const { url } = await pushService();
    const at = desk();
    for (const path of ['gone', 'here']) phone(at, `${url}/${path}`);
    service.answer = (response, { path }) => void response.writeHead(path === '/gone' ? 410 : 201).end();
    expect(await edge(at).send(message(), patience())).toMatchObject({ ok: true });
  });

  it('is not kept from good phones by one whose keys are none; that one is forgotten', async () => {
    const { url } = await pushService();
    const at = desk();
    at.subscribe(
      'cook',
      { endpoint: `${url}/bad`, keys: { p256dh: 'A'.repeat(87), auth: 'A'.repeat(22) } },
      0,
    );
    const keys = phone(at, `${url}/good`);
    expect(await edge(at).send(message(), patience())).toMatchObject({ ok: true });
    expect(JSON.parse(decryptPush(service.taken[0]!.body, keys)).kind).toBe('alarm');
    expect(at.of('cook').map((one) => one.endpoint)).toEqual([`${url}/good`]);
  });

  it('fails and says why while no phone has subscribed, also when it is only checked', async () => {
    const at = desk();
    const none = { ok: false, permanent: true, at: 'connect' };
    expect(await edge(at).send(message(), patience())).toMatchObject(none);
    expect(await edge(at).check(patience())).toMatchObject(none);
    phone(at, 'https://push.example/1');
    expect(await edge(at).check(patience())).toMatchObject({ ok: true });
  });

  it('fails where the service hangs, is not there, or shows a certificate that is not its own', async () => {
    const { url } = await pushService();
    const hangs = desk();
    phone(hangs, `${url}/p`);
    service.answer = () => undefined;
    const sent = () => edge(hangs, { timeoutMs: 300 }).send(message(), patience());
    expect(await afterTheTime(service, sent, 300)).toMatchObject({ ok: false, at: 'answer' });
    const gone = desk();
    phone(gone, `https://127.0.0.1:${await deadPort()}/p`);
    expect(await edge(gone).send(message(), patience())).toMatchObject({ ok: false, at: 'connect' });
    const wrong = await httpBed(certificates.untrusted);
    open.push(wrong);
    const other = desk();
    phone(other, `${wrong.url}/p`);
    expect(await edge(other).send(message(), patience())).toMatchObject({ ok: false, at: 'connect' });
    expect(wrong.taken).toEqual([]);
  });

  it('stays below the 4096 bytes that every push service must take (RFC 8030, 7.2)', async () => {
    const { url, taken } = await pushService();
    const at = desk();
    phone(at, `${url}/p`);
    const long = { ...message().alarms[0]!, detail: '\u0001湯'.repeat(5000), title: '\u0002'.repeat(500) };
    const big = message({
      subject: '\u{1F525}'.repeat(1000),
      alarms: Array.from({ length: 12 }, () => long),
    });
    expect(await edge(at).send(big, patience())).toMatchObject({ ok: true });
    expect(taken[0]?.body.length).toBeLessThanOrEqual(4096);
    expect(payloadOf(message({ kind: 'over', alarms: [], text: 'Over.' })).tag).toBe('over');
  });
});

describe('the desk of push', () => {
  it('makes its keys once: what was kept gives the same keys and the same phones', () => {
    const at = desk();
    phone(at, 'https://push.example/1');
    const again = openPushDesk(at.text(), () => undefined);
    expect(again?.keys).toEqual(at.keys);
    expect(again?.of('cook')).toEqual(at.of('cook'));
    expect(desk().keys).not.toEqual(at.keys);
  });

  it('tells what to keep with each change, and does not take what is no desk for one', () => {
    let changes = 0;
    const at = openPushDesk(null, () => {
      changes += 1;
    })!;
    phone(at, 'https://push.example/1');
    at.forget('https://push.example/1');
    at.forget('https://push.example/1');
    expect(changes).toBe(2);
    expect(openPushDesk(at.text().slice(1), () => undefined)).toBeNull();
    expect(openPushDesk('{"version":2}', () => undefined)).toBeNull();
  });

  it('holds a phone once, at most eight a person: the longest subscribed makes room', () => {
    const at = desk();
    for (let i = 0; i < 10; i += 1) phone(at, `https://push.example/${i}`);
    phone(at, 'https://push.example/9');
    expect(at.of('cook').map((one) => one.endpoint)).toEqual(
      [2, 3, 4, 5, 6, 7, 8, 9].map((i) => `https://push.example/${i}`),
    );
    phone(at, 'https://push.example/9', 'warden');
    expect(at.of('cook')).toHaveLength(7);
  });

  it('takes endpoints of public push services only: the controller must not knock at its neighbours', () => {
    expect(endpointFault('https://push.example/abc')).toBeNull();
    for (const url of [
      'http://push.example/abc',
      'https://127.0.0.1/',
      'https://[::1]/',
      'https://192.168.1.1/',
      'https://0x7f000001/',
      'https://localhost/',
      'https://router/',
      'https://router.local/',
      'https://box.lan/',
      'https://router.local./',
    ]) {
      expect(endpointFault(url), url).not.toBeNull();
    }
  });

  it('is not led into the house by a name that resolves there: nothing connects, and the result tells nothing of the port', async () => {
    const { port } = new URL((await pushService()).url);
    const at = desk();
    phone(at, `https://localhost:${port}/1`);
    const inside = await edge(at, { mayPushTo: isPublicAddress }).send(message(), patience());
    phone(at, `https://localhost:${await deadPort()}/1`, 'warden');
    const nothing = await pushEdge(at, 'warden', CONTACT, means({ mayPushTo: isPublicAddress })).send(
      message(),
      patience(),
    );
    expect(inside).toMatchObject({ ok: false, at: 'connect', why: expect.stringContaining('ENOTPUBLIC') });
    expect(nothing).toEqual(inside);
    expect(service.taken).toEqual([]);
    expect(await edge(at).send(message(), patience())).not.toEqual(inside);
  });

  // Source of the ranges: IANA special-purpose address registries (RFC 6890).
  it('counts no address of a house, a link, this machine or many hosts as public, in either form', () => {
    const inHouse =
      '127.0.0.1 10.1.2.3 172.31.0.9 192.168.1.1 169.254.169.254 100.64.0.1 0.0.0.0 224.0.0.251 255.255.255.255 :: ::1 fe80::1 fd12::1 ff02::fb ::ffff:192.168.1.1 ::ffff:127.0.0.1';
    expect(inHouse.split(' ').filter(isPublicAddress)).toEqual([]);
    const outside = ['93.184.215.14', '172.32.0.1', '2606:2800:21f:cb07::1', '::ffff:93.184.215.14'];
    expect(outside.filter(isPublicAddress)).toEqual(outside);
  });

  it('takes no subscription whose keys are not those of RFC 8291', () => {
    const good = { p256dh: 'A'.repeat(87), auth: 'A'.repeat(22) };
    const taken = (endpoint: string, keys: object) =>
      pushSubscriptionSchema.safeParse({ endpoint, keys }).success;
    expect(taken('https://push.example/1', good)).toBe(true);
    expect(taken('https://push.example/1', { ...good, p256dh: 'A'.repeat(86) })).toBe(false);
    expect(taken('https://push.example/1', { ...good, auth: '' })).toBe(false);
    expect(taken('http://push.example/1', good)).toBe(false);
    expect(taken('javascript:alert(1)', good)).toBe(false);
  });

  it('offers notifications only where browsers allow them: on https, or on the machine itself', () => {
    expect(pushFault('https', 'bath.hut.example')).toBeNull();
    for (const host of ['localhost', '127.0.0.1', '[::1]', 'bath.localhost'])
      expect(pushFault('http', host)).toBeNull();
    expect(pushFault('http', '192.168.1.20')).toContain('https');
    expect(pushFault('http', 'localhost.evil.example')).toContain('https');
  });
});

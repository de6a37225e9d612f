import { createHash, createHmac } from 'node:crypto';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { contentDigest, signatureParams, signHmac } from '../../controller/reach/edge/signature.ts';
import { webhookEdge } from '../../controller/reach/edge/webhook.ts';
import type { Outcome } from '../../controller/reach/work.ts';
import {
  afterTheTime,
  deadPort,
  type HttpBed,
  httpBed,
  makeCertificates,
  means,
  message,
  patience,
  rawBed,
  type Taken,
} from './reach-servers.ts';

const SECRET = 'a secret of the valley, long enough';
let certificates: Awaited<ReturnType<typeof makeCertificates>>;
const open: { close(): Promise<void> }[] = [];
const bed = async (...args: Parameters<typeof httpBed>): Promise<HttpBed> => {
  const made = await httpBed(...args);
  open.push(made);
  return made;
};

beforeAll(async () => {
  certificates = await makeCertificates();
});
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});
afterAll(() => certificates.remove());

const edge = (url: string, more: Parameters<typeof means>[0] = {}) =>
  webhookEdge({ kind: 'webhook', url, secret: { env: 'HOOK' } }, means({ env: { HOOK: SECRET }, ...more }));
const send = (url: string, more: Parameters<typeof means>[0] = {}): Promise<Outcome> =>
  edge(url, more).send(message(), patience());

/** What a receiver does, written from the README and RFC 9421 alone: rebuilds the signature base and compares. */
function verify(taken: Taken, secret: string, nowS: number): boolean {
  const field = (name: string): string => String(taken.headers[name] ?? '');
  const digest = createHash('sha256').update(taken.body).digest('base64');
  if (field('content-digest') !== `sha-256=:${digest}:`) return false;
  const input = /^bathkeeper=(\(([^)]*)\);created=(\d+);keyid="bathkeeper";alg="hmac-sha256")$/.exec(
    field('signature-input'),
  );
  if (!input || Math.abs(nowS - Number(input[3])) > 300) return false;
  const url = new URL(taken.path, `http://${field('host')}`);
  const derived: Record<string, string> = {
    '@method': taken.method,
    '@authority': field('host'),
    '@path': url.pathname,
    '@query': url.search || '?',
  };
  const lines = [...(input[2] ?? '').matchAll(/"([^"]+)"/g)].map(([, name = '']) => {
    return `"${name}": ${derived[name] ?? field(name)}`;
  });
  const base = [...lines, `"@signature-params": ${input[1]}`].join('\n');
  return field('signature') === `bathkeeper=:${createHmac('sha256', secret).update(base).digest('base64')}:`;
}

describe('the signature', () => {
  it('is the one of RFC 9421, appendix B.2.5 (hmac-sha256)', () => {
    // Source: RFC 9421, appendices B.1.5 (the key) and B.2.5 (the message and its signature).
    const key = Buffer.from(
      'uzvJfB4u3N0Jy4T7NZ75MDVcr8zSTInedJtkgcu46YW4XByzNJjxBdtjUkdJPBtbmHhIDi6pcl8jsasjlTMtDQ==',
      'base64',
    );
    const params = signatureParams(
      ['date', '@authority', 'content-type'],
      1618884473,
      'keyid="test-shared-secret"',
    );
    expect(params).toBe('("date" "@authority" "content-type");created=1618884473;keyid="test-shared-secret"');
    const components = [
      ['date', 'Tue, 20 Apr 2021 02:07:55 GMT'],
      ['@authority', 'example.com'],
      ['content-type', 'application/json'],
    ] as const;
    expect(signHmac(components, params, key)).toBe('pxcQw6G3AjtMBQjwo8XzkZf/bws5LelbaMk5rGIGtE8=');
  });

  it('covers the body by the digest of RFC 9530', () => {
    // Source: RFC 9530, appendix D: sha-256 of {"hello": "world"} and a newline.
    expect(contentDigest('{"hello": "world"}\n')).toBe(
      'sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:',
    );
  });

  it('can be checked by the receiver from what arrives, and holds for nothing else', async () => {
    const hook = await bed();
    await send(`${hook.url}/alarm?kitchen=hut`);
    const [taken] = hook.taken;
    const nowS = Date.UTC(2026, 10, 25, 1, 0) / 1000;
    expect(verify(taken!, SECRET, nowS)).toBe(true);
    expect(verify(taken!, SECRET, nowS + 301)).toBe(false);
    expect(verify(taken!, 'another secret, long enough', nowS)).toBe(false);
    expect(verify({ ...taken!, body: Buffer.from('{}') }, SECRET, nowS)).toBe(false);
    expect(verify({ ...taken!, path: '/alarm?kitchen=other' }, SECRET, nowS)).toBe(false);
    const other = { ...taken!.headers, 'idempotency-key': '"other"' };
    expect(verify({ ...taken!, headers: other }, SECRET, nowS)).toBe(false);
  });
});

describe('a webhook', () => {
  it('gets the message as JSON with the key by which it can tell a repetition', async () => {
    const hook = await bed();
    expect(await send(hook.url)).toEqual({ ok: true, detail: `${hook.url} took it (204)` });
    expect(JSON.parse(String(hook.taken[0]?.body))).toEqual(message());
    expect(hook.taken[0]?.headers).toMatchObject({
      'content-type': 'application/json',
      'idempotency-key': `"${message().key}"`,
    });
  });

  it('that answers 500 or 429 is asked again, as late as it wishes; one that answers 404 is not', async () => {
    const hook = await bed();
    const says = async (status: number, headers = {}): Promise<Outcome> => {
      hook.answer = (response) => void response.writeHead(status, headers).end('go away, secret-in-body');
      return send(hook.url);
    };
    expect(await says(500)).toMatchObject({
      ok: false,
      permanent: false,
      at: 'answer',
      why: `${hook.url} answered 500`,
    });
    expect(await says(429, { 'retry-after': '120' })).toMatchObject({
      permanent: false,
      retryAfterMs: 120_000,
    });
    expect(await says(404)).toMatchObject({ permanent: true });
    expect(JSON.stringify(await says(403))).not.toContain('secret-in-body');
  });

  it('that redirects is not followed: the message goes where the configuration says, or nowhere', async () => {
    const other = await bed();
    const hook = await bed();
    hook.answer = (response) => void response.writeHead(307, { location: other.url }).end();
    expect(await send(hook.url)).toMatchObject({ ok: false, permanent: true });
    expect(other.taken).toEqual([]);
  });

  it('that hangs is given up, whether it never answers, never ends its answer or never takes the connection', async () => {
    const mute = await bed();
    const late = { ok: false, permanent: false, at: 'answer' };
    expect(await afterTheTime(mute, () => send(mute.url, { timeoutMs: 200 }), 200)).toMatchObject(late);
    const endless = await bed();
    endless.answer = (response) => void response.writeHead(200, { 'content-length': '100' }).write('x');
    expect(await afterTheTime(endless, () => send(endless.url, { timeoutMs: 200 }), 200)).toMatchObject(late);
    const noTls = await rawBed(() => undefined);
    open.push(noTls);
    expect(await send(`https://127.0.0.1:${noTls.port}`, { timeoutMs: 200 })).toMatchObject({
      at: 'connect',
    });
  });

  it('that answers without end is not read to the end', async () => {
    const hook = await bed();
    let written = 0;
    hook.answer = (response) => {
      response.writeHead(200);
      const more = (): void => {
        while (!response.destroyed && written < 64e6 && response.write(Buffer.alloc(65536))) written += 65536;
        if (!response.destroyed) response.once('drain', more);
      };
      more();
    };
    expect(await send(hook.url)).toMatchObject({ ok: true });
    expect(written).toBeLessThan(64e6);
  });

  it('that breaks off before or within its answer has not taken it', async () => {
    const cuts = {
      '': 'broke the connection off',
      'HTTP/1.1 200 OK\r\nContent-Le': 'broke the connection off',
      'HTTP/1.1 200 OK\r\nContent-Length: 10\r\n\r\nhalf': 'the answer of',
    };
    for (const [words, why] of Object.entries(cuts)) {
      const liar = await rawBed((socket) => socket.once('data', () => socket.end(words)));
      open.push(liar);
      const end = await send(`http://127.0.0.1:${liar.port}`);
      expect(end, words).toMatchObject({ ok: false, permanent: false, at: 'answer' });
      expect(JSON.stringify(end)).toContain(why);
    }
  });

  it('that talks something else than HTTP has not taken it', async () => {
    const liar = await rawBed((socket) =>
      socket.once('data', () => socket.end('220 mail.example ESMTP\r\n')),
    );
    open.push(liar);
    expect(await send(`http://127.0.0.1:${liar.port}`)).toMatchObject({ ok: false, permanent: false });
  });

  it('that is not there cannot be reached', async () => {
    const end = await send(`http://127.0.0.1:${await deadPort()}`);
    expect(end).toMatchObject({ ok: false, permanent: false, at: 'connect' });
    expect(JSON.stringify(end)).toContain('ECONNREFUSED');
  });

  it('is trusted by its certificate alone: a wrong name or an unknown issuer gets nothing', async () => {
    const { good, otherName, untrusted, caFile } = certificates;
    const trusted = await bed(good);
    expect(await send(trusted.url, { caFile })).toMatchObject({ ok: true });
    for (const certificate of [otherName, untrusted]) {
      const wrong = await bed(certificate);
      const end = await send(wrong.url, { caFile });
      expect(end).toMatchObject({ ok: false, at: 'connect' });
      expect(JSON.stringify(end)).toContain('certificate or encryption was not accepted');
      expect(wrong.taken).toEqual([]);
    }
    expect(await send(trusted.url)).toMatchObject({ ok: false, at: 'connect' });
  });

  it('ends at once when the plan gives it up', async () => {
    const mute = await bed();
    mute.answer = () => undefined;
    const stop = new AbortController();
    const end = edge(mute.url).send(message(), stop.signal);
    stop.abort();
    expect(await end).toMatchObject({ ok: false });
    expect(await edge(mute.url).send(message(), AbortSignal.abort())).toMatchObject({ ok: false });
  });
});

describe('the way to a webhook', () => {
  it('is tried without sending anything, up to the certificate', async () => {
    const { good, untrusted, caFile } = certificates;
    const hook = await bed(good);
    expect(await edge(hook.url, { caFile }).check(patience())).toMatchObject({ ok: true });
    const wrong = await bed(untrusted);
    expect(await edge(wrong.url, { caFile }).check(patience())).toMatchObject({ ok: false, at: 'connect' });
    const gone = `http://127.0.0.1:${await deadPort()}`;
    expect(await edge(gone).check(patience())).toMatchObject({ ok: false, at: 'connect' });
    expect([...hook.taken, ...wrong.taken]).toEqual([]);
  });

  it('that hangs is given up', async () => {
    const noTls = await rawBed(() => undefined);
    open.push(noTls);
    const end = await edge(`https://127.0.0.1:${noTls.port}`, { timeoutMs: 200 }).check(patience());
    expect(end).toMatchObject({ ok: false, at: 'connect' });
  });
});

describe('the secret of a webhook', () => {
  it('that is missing or short makes the channel fail and says where it should be, never what it is', async () => {
    const hook = await bed();
    const missing = await send(hook.url, { env: {} });
    expect(missing).toMatchObject({ ok: false, permanent: true });
    expect(JSON.stringify(missing)).toContain('environment variable HOOK');
    const short = await send(hook.url, { env: { HOOK: 'hunter2' } });
    expect(short).toMatchObject({ ok: false, permanent: true });
    expect(JSON.stringify(short)).not.toContain('hunter2');
    expect(hook.taken).toEqual([]);
  });

  it('may be an address too: then nothing of the address is in what is logged', async () => {
    const hook = await bed();
    const env = { HOOK: SECRET, WHERE: `${hook.url}/capability/xyz` };
    const config = { kind: 'webhook', url: { env: 'WHERE' }, secret: { env: 'HOOK' } } as const;
    const end = await webhookEdge(config, means({ env })).send(message(), patience());
    expect(end).toEqual({ ok: true, detail: '(address kept secret) took it (204)' });
    expect(hook.taken[0]?.path).toBe('/capability/xyz');
    const bad = webhookEdge(config, means({ env: { ...env, WHERE: 'file:///etc/passwd' } }));
    expect(await bad.send(message(), patience())).toMatchObject({ ok: false, permanent: true });
  });
});

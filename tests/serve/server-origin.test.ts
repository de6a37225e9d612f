import { request as httpRequest } from 'node:http';
import { hostname } from 'node:os';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { asHostName, Guard, hostName } from '../../controller/serve/guard.ts';
import { machineNames } from '../../controller/serve/own-names.ts';
import { type Bed, makeBed, rawExchange } from './server-bed.ts';

const STOP = JSON.stringify({ kind: 'stop-heat', id: 'stop-1' });
const JSON_TYPE = { 'content-type': 'application/json' };

let bed: Bed;
beforeAll(async () => {
  bed = await makeBed({ allowedHosts: ['kitchen.example'] });
  bed.hub.commit();
});
afterAll(() => bed.close());

function getWithHost(host: string, path = '/api/cooks'): ReturnType<Bed['ask']> {
  return bed.ask({ path, headers: { host } });
}

describe('server, Host allowlist on every request (DNS rebinding; OWASP ASVS 5.0 V3.5)', () => {
  it('answers under localhost, the loopback addresses, its own addresses and names, and the allowed ones, with any port', async () => {
    const names = ['localhost', '127.0.0.1', '[::1]', '192.168.7.20', '[fd00::20]'];
    const more = ['hut-controller', 'hut-controller.local', 'HUT-Controller.local', 'kitchen.example'];
    for (const name of [...names, ...more]) {
      expect((await getWithHost(`${name}:8410`)).status, name).toBe(200);
      expect((await getWithHost(name)).status, name).toBe(200);
    }
  });

  it('refuses every other Host with 421 and a code of the registry, whatever the path and method', async () => {
    const names = [
      'rebound.example',
      'localhost.rebound.example',
      'localhost:8410@rebound.example',
      '0.0.0.0:8410',
      '192.168.7.21',
      'localhost.',
    ];
    for (const name of names) {
      for (const path of ['/', '/api/cooks', '/metrics', '/nothing']) {
        const answer = await getWithHost(name, path);
        // RFC 9110 section 15.5.20: 421 is for a request to an authority this server does not speak for.
        expect([name, path, answer.status]).toEqual([name, path, 421]);
        expect(answer.json<{ error: { code: string } }>().error.code).toBe('host-refused');
      }
    }
    const sent = await bed.ask({
      method: 'POST',
      path: '/api/command',
      headers: { host: 'rebound.example', origin: 'http://rebound.example', ...JSON_TYPE },
      body: STOP,
    });
    expect(sent.status).toBe(421);
  });

  it('refuses a request that names no Host at all', async () => {
    const old = await rawExchange(bed.port, 'GET /api/cooks HTTP/1.0\r\n\r\n');
    expect(old).toMatch(/^HTTP\/1\.1 421 /);
    const empty = 'GET /api/cooks HTTP/1.1\r\nHost:\r\nConnection: close\r\n\r\n';
    expect(await rawExchange(bed.port, empty)).toMatch(/^HTTP\/1\.1 421 /);
    // RFC 9112 section 3.2: a request of HTTP/1.1 without Host is answered with 400.
    const none = 'GET /api/cooks HTTP/1.1\r\nConnection: close\r\n\r\n';
    expect(await rawExchange(bed.port, none)).toMatch(/^HTTP\/1\.1 400 /);
  });

  it('does not take X-Forwarded-Host for the Host', async () => {
    const headers = { host: 'rebound.example', 'x-forwarded-host': 'localhost' };
    expect((await bed.ask({ path: '/api/cooks', headers })).status).toBe(421);
  });

  it('asks the machine for its addresses anew, so that a changed Wi-Fi address works without a restart', () => {
    let own = ['10.0.0.5'];
    const guard = new Guard([], () => own);
    const host = (name: string) => ({
      host: name,
      origin: undefined,
      fetchSite: undefined,
      client: undefined,
    });
    expect(() => guard.check(host('10.0.0.9:8410'), 'read')).toThrow(/host/i);
    own = ['10.0.0.9'];
    expect(() => guard.check(host('10.0.0.9:8410'), 'read')).not.toThrow();
  });

  it('knows this machine by its host name, its .local name and its interface addresses', () => {
    const names = machineNames();
    const short = hostname().toLowerCase().split('.')[0];
    expect(names).toContain(short);
    expect(names).toContain(`${short}.local`);
    expect(names).toContain('127.0.0.1');
  });

  it('reads a Host header as RFC 9110 and RFC 3986 write it, and nothing else', () => {
    expect(hostName('localhost:8410')).toBe('localhost');
    expect(hostName('[FE80::1]:80')).toBe('[fe80::1]');
    for (const bad of ['a b', 'a/b', 'a@b', 'a:port', '::1', 'a:', 'a?b', 'a#b', undefined]) {
      expect(hostName(bad)).toBeNull();
    }
    expect(asHostName('fe80::1%eth0')).toBe('[fe80::1]');
  });
});

describe('server, Origin on requests that change something (OWASP ASVS 5.0 V3.5: forged requests)', () => {
  async function stop(headers: Record<string, string>): Promise<[number, string]> {
    const answer = await bed.ask({
      method: 'POST',
      path: '/api/command',
      headers: { ...JSON_TYPE, ...headers },
      body: STOP,
    });
    return [answer.status, answer.json<{ error?: { code: string } }>().error?.code ?? 'accepted'];
  }

  it('takes a command from a page of exactly its own origin: scheme, name and port', async () => {
    expect(await stop({ origin: bed.origin })).toEqual([200, 'accepted']);
    const host = `hut-controller.local:${bed.port}`;
    expect(await stop({ host, origin: `http://${host}` })).toEqual([200, 'accepted']);
  });

  it('refuses a command from any other origin, however alike', async () => {
    const others = [
      'http://127.0.0.1',
      `http://127.0.0.1:${bed.port + 1}`,
      `https://127.0.0.1:${bed.port}`,
      `http://localhost:${bed.port}`,
      `http://127.0.0.1:${bed.port}.evil.example`,
      `http://127.0.0.1:${bed.port}/`,
      'http://evil.example',
      'null',
      '',
    ];
    for (const origin of others) {
      expect([origin, ...(await stop({ origin }))]).toEqual([origin, 403, 'origin-refused']);
    }
  });

  it('refuses a command that names no origin, unless a program says that it is no browser', async () => {
    expect(await stop({})).toEqual([403, 'origin-refused']);
    expect(await stop({ 'x-bathkeeper-client': ' ' })).toEqual([403, 'origin-refused']);
    expect(await stop({ 'x-bathkeeper-client': 'hut-script' })).toEqual([200, 'accepted']);
  });

  it('lets that header excuse no foreign origin', async () => {
    const headers = { origin: 'http://evil.example', 'x-bathkeeper-client': 'hut-script' };
    expect(await stop(headers)).toEqual([403, 'origin-refused']);
  });

  it('refuses what the browser itself calls cross-site, even under the right origin', async () => {
    for (const site of ['cross-site', 'same-site']) {
      expect(await stop({ origin: bed.origin, 'sec-fetch-site': site })).toEqual([403, 'origin-refused']);
    }
    expect(await stop({ origin: bed.origin, 'sec-fetch-site': 'same-origin' })).toEqual([200, 'accepted']);
  });

  it('refuses reading, too, by a script of another origin, and never allows it by CORS', async () => {
    const foreign = await bed.ask({ path: '/api/cooks', headers: { origin: 'http://evil.example' } });
    expect(foreign.status).toBe(403);
    const own = await bed.ask({ path: '/api/cooks', headers: { origin: bed.origin } });
    expect(own.status).toBe(200);
    for (const answer of [foreign, own]) {
      const names = Object.keys(answer.headers).filter((name) => name.startsWith('access-control-'));
      expect(names).toEqual([]);
    }
    const preflight = await bed.ask({
      method: 'OPTIONS',
      path: '/api/command',
      headers: { origin: 'http://evil.example', 'access-control-request-method': 'POST' },
    });
    expect(preflight.status).toBe(403);
  });

  it('reads only JSON: a form or a text, which a foreign page may send unasked, is refused', async () => {
    for (const type of [
      'text/plain',
      'application/x-www-form-urlencoded',
      'multipart/form-data; boundary=x',
    ]) {
      expect(await stop({ origin: bed.origin, 'content-type': type })).toEqual([400, 'bad-request']);
    }
  });

  it('takes https for an allowed name only, which may stand behind a proxy', async () => {
    const host = 'kitchen.example';
    expect(await stop({ host, origin: `https://${host}` })).toEqual([200, 'accepted']);
    expect(await stop({ host: '192.168.7.20', origin: 'https://192.168.7.20' })).toEqual([
      403,
      'origin-refused',
    ]);
  });

  it('notes each refusal with where it came from, on one line whatever the header held', async () => {
    const before = bed.log.length;
    await stop({ origin: 'http://evil.example/ did=stop-heat outcome=accepted' });
    const lines = bed.log.slice(before);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(/did=request from=127\.0\.0\.1 who="unpaired phone" outcome=origin-refused/);
    expect(lines[0]).not.toContain('\n');
  });
});

describe('server, WebSocket handshake (OWASP ASVS 5.0 V4.4.2; RFC 6455 section 10.2)', () => {
  function handshake(headers: Record<string, string>, path = '/stream'): Promise<[number, string]> {
    return new Promise((resolve, reject) => {
      const request = httpRequest({
        host: '127.0.0.1',
        port: bed.port,
        path,
        agent: false,
        headers: {
          connection: 'Upgrade',
          upgrade: 'websocket',
          'sec-websocket-version': '13',
          'sec-websocket-key': 'dGhlIHNhbXBsZSBub25jZQ==', // the key of RFC 6455 section 1.3
          ...headers,
        },
      });
      request.on('upgrade', (response, socket) => {
        socket.destroy();
        resolve([101, String(response.headers['sec-websocket-accept'])]);
      });
      request.on('response', (response) => {
        let text = '';
        response.on('data', (piece) => {
          text += piece;
        });
        response.on('end', () => resolve([response.statusCode ?? 0, JSON.parse(text).error?.code]));
      });
      request.on('error', reject);
      request.end();
    });
  }

  it('opens the stream to a page of its own origin, with the answer that RFC 6455 computes', async () => {
    expect(await handshake({ origin: bed.origin })).toEqual([101, 's3pPLMBiTxaQ9kYGzzhZRbK+xOo=']);
  });

  it('refuses the stream to another origin, to none, and under another Host, before the upgrade', async () => {
    expect(await handshake({ origin: 'http://evil.example' })).toEqual([403, 'origin-refused']);
    expect(await handshake({ origin: 'null' })).toEqual([403, 'origin-refused']);
    expect(await handshake({})).toEqual([403, 'origin-refused']);
    expect(await handshake({ 'x-bathkeeper-client': 'hut-script' })).toEqual([403, 'origin-refused']);
    const host = 'rebound.example';
    expect(await handshake({ host, origin: `http://${host}` })).toEqual([421, 'host-refused']);
  });

  it('opens a WebSocket nowhere but at /stream', async () => {
    expect(await handshake({ origin: bed.origin }, '/')).toEqual([404, 'not-found']);
    expect(await handshake({ origin: bed.origin }, '/api/command')).toEqual([404, 'not-found']);
    expect(await handshake({ origin: bed.origin }, '/stream/x')).toEqual([404, 'not-found']);
  });
});

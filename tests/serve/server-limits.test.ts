import { connect, type Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { plainAddress, RateLimiter } from '../../controller/serve/rate.ts';
import { type Answer, type Bed, makeBed, rawExchange, withLimits } from './server-bed.ts';

const STOP = { kind: 'stop-heat', id: 'stop-1' };

let bed: Bed;
const held: Socket[] = [];
afterEach(async () => {
  for (const socket of held.splice(0)) socket.destroy();
  await bed?.close();
});

function codeOf(answer: Answer): string | undefined {
  return answer.json<{ error?: { code: string } }>().error?.code;
}

function head(lines: readonly string[]): string {
  return `${['Host: localhost', ...lines].join('\r\n')}\r\n\r\n`;
}

describe('server, sizes (OWASP ASVS 5.0 V2.4.1, V15.2.2)', () => {
  it('refuses a body above the limit as too large, and reads one just below', async () => {
    bed = await makeBed({ limits: withLimits({ bodyBytes: 1000 }) });
    const over = await bed.post('/api/command', { ...STOP, padding: 'x'.repeat(1000) });
    expect([over.status, codeOf(over)]).toEqual([413, 'too-large']);
    const under = await bed.post('/api/command', { ...STOP, padding: 'x'.repeat(900) });
    expect(under.status).toBe(200);
  });

  it('refuses a body of unstated length once it has grown above the limit', async () => {
    bed = await makeBed({ limits: withLimits({ bodyBytes: 1000 }) });
    const lines = [
      `Origin: http://localhost`,
      'Content-Type: application/json',
      'Transfer-Encoding: chunked',
    ];
    const chunk = `${(2000).toString(16)}\r\n${'x'.repeat(2000)}\r\n0\r\n\r\n`;
    const answer = await rawExchange(
      bed.port,
      `POST /api/command HTTP/1.1\r\n${head([...lines, 'Connection: close'])}${chunk}`,
    );
    expect(answer).toMatch(/^HTTP\/1\.1 413 /);
    expect(answer).toContain('"code":"too-large"');
  });

  it('refuses a request head above the limit', async () => {
    bed = await makeBed();
    const answer = await rawExchange(
      bed.port,
      `GET / HTTP/1.1\r\n${head([`X-Long: ${'x'.repeat(20_000)}`])}`,
    );
    expect(answer).toMatch(/^HTTP\/1\.1 431 /);
    expect(answer).toContain('"code":"too-large"');
    expect(answer.toLowerCase()).toContain("content-security-policy: default-src 'none'");
  });

  it('answers what is no HTTP with an error of the registry and closes', async () => {
    bed = await makeBed();
    const answer = await rawExchange(bed.port, 'EHLO hut\r\n\r\n');
    expect(answer).toMatch(/^HTTP\/1\.1 400 /);
    expect(answer).toContain('"code":"bad-request"');
  });
});

describe('server, slow and many clients (OWASP ASVS 5.0 V13.1.3)', () => {
  it('closes a connection whose request head does not arrive in time', async () => {
    bed = await makeBed({ limits: withLimits({ headersMs: 60, requestMs: 120 }) });
    expect(await rawExchange(bed.port, 'GET / HTTP/1.1\r\nHost: loc')).toMatch(/^HTTP\/1\.1 408 /);
  });

  it('closes a connection whose body does not arrive in time', async () => {
    bed = await makeBed({ limits: withLimits({ headersMs: 60, requestMs: 120 }) });
    const lines = ['Origin: http://localhost', 'Content-Type: application/json', 'Content-Length: 50'];
    const answer = await rawExchange(bed.port, `POST /api/command HTTP/1.1\r\n${head(lines)}{`);
    expect(answer).toMatch(/^HTTP\/1\.1 408 /);
  });

  it('gives one address no more than a quarter of all connections', async () => {
    bed = await makeBed({ limits: withLimits({ connections: 16 }) });
    const ends: Promise<string>[] = [];
    for (let i = 0; i < 8; i += 1) {
      const socket = connect(bed.port, '127.0.0.1');
      held.push(socket);
      const open = new Promise<string>((resolve) => socket.once('connect', () => resolve('open')));
      ends.push(new Promise((resolve) => socket.once('close', () => resolve('closed'))));
      socket.on('error', () => {});
      await open;
    }
    // The first four stay, the last four are closed by the server.
    await Promise.all(ends.slice(4));
    expect(held.slice(0, 4).every((socket) => !socket.destroyed)).toBe(true);
  });
});

describe('server, rates (OWASP ASVS 5.0 V2.4.1)', () => {
  it('refuses an address that asks too fast, says when to come again, and then serves it', async () => {
    bed = await makeBed({ limits: withLimits({ requestsPerS: 1, requestsBurst: 3 }) });
    const answers: number[] = [];
    for (let i = 0; i < 5; i += 1) answers.push((await bed.ask({ path: '/api/cooks' })).status);
    expect(answers).toEqual([200, 200, 200, 429, 429]);
    const refused = await bed.ask({ path: '/api/cooks' });
    expect(codeOf(refused)).toBe('too-many-requests');
    expect(refused.headers['retry-after']).toBe('1');
    bed.clock.monotonicMs += 1000;
    expect((await bed.ask({ path: '/api/cooks' })).status).toBe(200);
  });

  it('never lets other requests or commands use up the stop: stopping has a bucket of its own', async () => {
    const slow = { requestsPerS: 1, requestsBurst: 2, commandsPerS: 1, commandsBurst: 2 };
    bed = await makeBed({ limits: withLimits(slow) });
    for (let i = 0; i < 6; i += 1) await bed.ask({ path: '/api/cooks' });
    for (let i = 0; i < 6; i += 1) await bed.post('/api/command', { kind: 'allow-heat', id: `x${i}` });
    expect((await bed.post('/api/command', { kind: 'allow-heat', id: 'x' })).status).toBe(429);
    expect((await bed.ask({ path: '/api/cooks' })).status).toBe(429);
    expect((await bed.post('/api/command', STOP)).status).toBe(200);
  });

  it('turns no stop away because too many other commands wait', async () => {
    bed = await makeBed({ limits: withLimits({ commandsInFlight: 1 }) });
    const cookie = await bed.pair();
    const waiting: (() => void)[] = [];
    bed.hub.answer = ({ id, kind }) =>
      kind === 'stop-heat'
        ? Promise.resolve({ id, accepted: true, code: null, detail: null })
        : new Promise((resolve) => {
            waiting.push(() => resolve({ id, accepted: true, code: null, detail: null }));
          });
    const first = bed.post('/api/command', { kind: 'allow-heat', id: 'a' }, cookie);
    while (waiting.length === 0) await new Promise((resolve) => setImmediate(resolve));
    const second = await bed.post('/api/command', { kind: 'allow-heat', id: 'b' }, cookie);
    expect([second.status, codeOf(second)]).toEqual([429, 'too-many-requests']);
    expect((await bed.post('/api/command', STOP)).status).toBe(200);
    for (const answer of waiting) answer();
    expect((await first).status).toBe(200);
  });

  it('goes by the address of the connection, whatever X-Forwarded-For claims (V4.1.3)', async () => {
    bed = await makeBed({ limits: withLimits({ requestsPerS: 1, requestsBurst: 2 }) });
    const answers: number[] = [];
    for (let i = 0; i < 4; i += 1) {
      const headers = { 'x-forwarded-for': `10.0.0.${i}`, forwarded: `for=10.0.0.${i}` };
      answers.push((await bed.ask({ path: '/api/cooks', headers })).status);
    }
    expect(answers).toEqual([200, 200, 429, 429]);
  });

  it('cannot be made to fill the log: refusals are written once a second after the first sixty, and counted', async () => {
    bed = await makeBed();
    for (let i = 0; i < 200; i += 1) await bed.ask({ path: '/', headers: { host: `x${i}.example` } });
    expect(bed.log.filter((line) => line.includes('host-refused'))).toHaveLength(60);
    bed.clock.monotonicMs += 1000;
    await bed.ask({ path: '/', headers: { host: 'last.example' } });
    expect(bed.log.at(-1)).toMatch(/host-refused .*last\.example.* unwritten=140$/);
  });
});

describe('rate limiter', () => {
  it('allows the burst at once and then the stated rate, exactly', () => {
    let nowMs = 0;
    const rate = new RateLimiter({ perSecond: 2, burst: 5, keys: 10, monotonicMs: () => nowMs });
    let granted = 0;
    for (; nowMs <= 10_000; nowMs += 10) if (rate.take('a') === 0) granted += 1;
    expect(granted).toBe(5 + 2 * 10);
  });

  it('keeps addresses apart and says after how many seconds to come again', () => {
    const rate = new RateLimiter({ perSecond: 0.1, burst: 1, keys: 10, monotonicMs: () => 0 });
    expect([rate.take('a'), rate.take('b'), rate.take('a')]).toEqual([0, 0, 10]);
  });

  it('remembers no more addresses than it may, and forgets the one longest unseen', () => {
    const rate = new RateLimiter({ perSecond: 1, burst: 1, keys: 3, monotonicMs: () => 0 });
    for (const key of ['a', 'b', 'c', 'a', 'd']) rate.take(key);
    expect(rate.size).toBe(3);
    // a was seen after b, so b is the one forgotten: it alone has a full bucket again.
    expect(rate.take('a')).toBeGreaterThan(0);
    expect(rate.take('b')).toBe(0);
  });

  it('counts an IPv4 address mapped into IPv6 (RFC 4291 section 2.5.5.2) as the same phone', () => {
    expect(plainAddress('::FFFF:192.168.7.20')).toBe('192.168.7.20');
    expect(plainAddress('fe80::1')).toBe('fe80::1');
  });
});

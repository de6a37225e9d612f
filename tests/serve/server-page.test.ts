import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { codingOf } from '../../controller/serve/assets.ts';
import { type Bed, makeBed } from './server-bed.ts';

const HTML = `<!doctype html><title>Hut kitchen</title><script type="module" src="./assets/page-1a2b.js"></script>${' '.repeat(600)}`;
const SCRIPT = `document.title = 'x';${'// much the same again\n'.repeat(200)}`;

let bed: Bed;
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'page-'));
  const assets = join(folder, 'monitor');
  await mkdir(join(assets, 'assets'), { recursive: true });
  await writeFile(join(assets, 'index.html'), HTML);
  await writeFile(join(assets, 'assets', 'page-1a2b.js'), SCRIPT);
  await writeFile(join(assets, 'assets', 'page-1a2b.js.map'), '{}');
  await writeFile(join(assets, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  await writeFile(join(assets, '.env'), 'SECRET=1');
  await writeFile(join(folder, 'beside.html'), 'not for you');
  bed = await makeBed({ assetsDir: assets });
  bed.hub.commit();
});
afterAll(async () => {
  await bed.close();
  await rm(folder, { recursive: true });
});

function policyOf(headers: Record<string, unknown>): Map<string, string> {
  const text = String(headers['content-security-policy']);
  return new Map(
    text.split(';').map((part) => {
      const [name = '', ...values] = part.trim().split(/\s+/);
      return [name, values.join(' ')];
    }),
  );
}

describe('server, the page', () => {
  it('is served at / and kept by no cache; a file named by its hash is kept for ever', async () => {
    const page = await bed.ask({ path: '/' });
    expect([page.status, page.text]).toEqual([200, HTML]);
    expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(page.headers['cache-control']).toBe('no-store');
    const script = await bed.ask({ path: '/assets/page-1a2b.js' });
    expect(script.text).toBe(SCRIPT);
    expect(script.headers['content-type']).toBe('text/javascript; charset=utf-8');
    expect(script.headers['cache-control']).toBe('public, max-age=31536000, immutable');
  });

  it('comes compressed to a client that takes it, and is the same text again', async () => {
    const path = '/assets/page-1a2b.js';
    const gzip = await bed.ask({ path, headers: { 'accept-encoding': 'gzip, deflate' } });
    expect(gzip.headers['content-encoding']).toBe('gzip');
    expect(gunzipSync(gzip.bytes).toString()).toBe(SCRIPT);
    const br = await bed.ask({ path, headers: { 'accept-encoding': 'gzip, deflate, br' } });
    expect(br.headers['content-encoding']).toBe('br');
    expect(brotliDecompressSync(br.bytes).toString()).toBe(SCRIPT);
    expect(gzip.bytes.length).toBeLessThan(SCRIPT.length / 5);
    for (const answer of [gzip, br]) expect(answer.headers.vary).toBe('accept-encoding');
  });

  it('reads Accept-Encoding by RFC 9110: a coding of weight 0 is refused', () => {
    expect(codingOf('gzip;q=0, br;q=0.5', ['br', 'gzip'])).toBe('br');
    expect(codingOf('br;q=0.0, GZIP', ['br', 'gzip'])).toBe('gzip');
    expect(codingOf('deflate', ['br', 'gzip'])).toBeNull();
    expect(codingOf(undefined, ['gzip'])).toBeNull();
    expect(codingOf('gzip-like', ['gzip'])).toBeNull();
  });

  it('is not sent again where the client has it (RFC 9110 section 13.1.2)', async () => {
    const first = await bed.ask({ path: '/icon.svg' });
    const again = await bed.ask({
      path: '/icon.svg',
      headers: { 'if-none-match': String(first.headers.etag) },
    });
    expect([again.status, again.text]).toEqual([304, '']);
  });

  it('serves nothing but the page: no folder above, no dot file, no list, no source map (V13.4)', async () => {
    const paths = [
      '/../beside.html',
      '/assets/../../beside.html',
      '/%2e%2e/beside.html',
      '/..%2fbeside.html',
      '/assets/..%5c..%5cbeside.html',
      '//beside.html',
      '/.env',
      '/assets/',
      '/assets',
      '/assets/page-1a2b.js.map',
      '/assets/page-1a2b.js%00',
      '/INDEX.HTML',
    ];
    for (const path of paths) {
      const answer = await bed.ask({ path });
      expect([path, answer.status >= 400]).toEqual([path, true]);
      expect(answer.text).not.toContain('not for you');
    }
  });

  it('says what to run where the page has not been built', async () => {
    const bare = await makeBed();
    const answer = await bare.ask({ path: '/' });
    await bare.close();
    expect(answer.status).toBe(404);
    expect(answer.text).toContain('npm run build');
  });
});

describe('server, security headers (OWASP ASVS 5.0 V3.4)', () => {
  it('sends nosniff, a referrer policy, a framing ban and a content policy with every response, errors included', async () => {
    const answers = [
      await bed.ask({ path: '/' }),
      await bed.ask({ path: '/assets/page-1a2b.js' }),
      await bed.ask({ path: '/api/cooks' }),
      await bed.ask({ path: '/metrics' }),
      await bed.ask({ path: '/nothing' }),
      await bed.ask({ path: '/', headers: { host: 'rebound.example' } }),
      await bed.post('/api/command', { kind: 'allow-heat', id: 'x' }),
    ];
    for (const { headers } of answers) {
      expect(headers['x-content-type-options']).toBe('nosniff');
      expect(headers['referrer-policy']).toBe('same-origin');
      expect(headers['x-frame-options']).toBe('DENY');
      expect(headers['cross-origin-resource-policy']).toBe('same-origin');
      const policy = policyOf(headers);
      for (const name of ['frame-ancestors', 'object-src', 'base-uri', 'default-src']) {
        expect(policy.get(name)).toBe("'none'");
      }
    }
  });

  it('lets the page run and load its own files only: no inline script or style, no eval, no other origin', async () => {
    const { headers } = await bed.ask({ path: '/' });
    const policy = policyOf(headers);
    expect(policy.get('script-src')).toBe("'self'");
    expect(policy.get('style-src')).toBe("'self'");
    const text = String(headers['content-security-policy']);
    for (const word of ['unsafe-inline', 'unsafe-eval', 'http:', 'https:', '*'])
      expect(text).not.toContain(word);
  });

  it('lets the page connect to its own stream by the name it was called by', async () => {
    const { headers } = await bed.ask({ path: '/', headers: { host: 'hut-controller.local:8410' } });
    expect(policyOf(headers).get('connect-src')).toBe(
      "'self' ws://hut-controller.local:8410 wss://hut-controller.local:8410",
    );
  });

  it('lets nothing that tells of a cook be kept by a cache', async () => {
    for (const path of ['/api/cooks', '/api/health', '/metrics', '/']) {
      expect((await bed.ask({ path })).headers['cache-control']).toBe('no-store');
    }
  });

  it('does not tell what it is made of (V13.4.6)', async () => {
    const { headers } = await bed.ask({ path: '/' });
    expect(headers.server).toBeUndefined();
    expect(headers['x-powered-by']).toBeUndefined();
  });
});

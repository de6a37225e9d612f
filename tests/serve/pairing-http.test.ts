import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Answer, type Bed, cookieOf, makeBed, resumeOf } from './server-bed.ts';

let bed: Bed;
beforeEach(async () => {
  bed = await makeBed({ allowedHosts: ['kitchen.example'] });
  bed.hub.commit();
});
afterEach(() => bed.close());

function codeOf(answer: Answer): string | undefined {
  return answer.json<{ error?: { code: string } }>().error?.code;
}

/** The attributes of a Set-Cookie header as RFC 6265 section 4.1.1 writes them, names in lower case. */
function attributesOf(answer: Answer): Map<string, string> {
  const parts = String(answer.headers['set-cookie']?.[0]).split(';').slice(1);
  return new Map(
    parts.map((part) => {
      const [name = '', value = ''] = part.trim().split('=');
      return [name.toLowerCase(), value];
    }),
  );
}

describe('server, pairing over HTTP', () => {
  it('gives the phone that knows the code a cookie that no script can read and no other site can send (V3.3)', async () => {
    const answer = await bed.post('/api/pair', { code: bed.pairing.code(), name: 'Warden' });
    expect([answer.status, answer.json()]).toEqual([200, { paired: true, name: 'Warden' }]);
    const attributes = attributesOf(answer);
    expect([...attributes.keys()].toSorted()).toEqual(['httponly', 'max-age', 'path', 'samesite']);
    expect(attributes.get('samesite')).toBe('Strict');
    expect(attributes.get('path')).toBe('/');
    expect(answer.text).not.toContain(cookieOf(answer).split('=')[1]);
  });

  it('marks the cookie Secure where a proxy serves the page over https', async () => {
    const answer = await bed.ask({
      method: 'POST',
      path: '/api/pair',
      headers: {
        host: 'kitchen.example',
        origin: 'https://kitchen.example',
        'content-type': 'application/json',
      },
      body: JSON.stringify({ code: bed.pairing.code(), name: 'Warden' }),
    });
    expect(attributesOf(answer).has('secure')).toBe(true);
  });

  it('refuses a wrong code, and after five of them the right one, with codes of the registry', async () => {
    const right = bed.pairing.code();
    const wrong = right === '000000' ? '000001' : '000000';
    const codes: (string | undefined)[] = [];
    for (let i = 0; i < 5; i += 1)
      codes.push(codeOf(await bed.post('/api/pair', { code: wrong, name: 'x' })));
    expect(codes).toEqual(Array(5).fill('wrong-code'));
    const late = await bed.post('/api/pair', { code: right, name: 'x' });
    expect([late.status, codeOf(late)]).toEqual([429, 'too-many-guesses']);
    expect(late.headers['set-cookie']).toBeUndefined();
  });

  it('writes every try into the log, with its address and outcome, without the code (V16.3.1)', async () => {
    const code = bed.pairing.code();
    await bed.post('/api/pair', { code: code === '000000' ? '000001' : '000000', name: 'Guesser' });
    await bed.post('/api/pair', { code, name: 'Warden' });
    const lines = bed.log.filter((line) => line.includes('did=pair'));
    expect(lines[0]).toMatch(/from=127\.0\.0\.1 who="Guesser" outcome=wrong-code$/);
    expect(lines[1]).toMatch(/from=127\.0\.0\.1 who="Warden" outcome=accepted$/);
    expect(lines.join()).not.toContain(code);
  });

  it('refuses a code or a name that is none, without counting it as a guess', async () => {
    const bodies = [
      { code: '12345', name: 'x' },
      { code: 123456, name: 'x' },
      { code: '123456' },
      { code: '123456', name: ' ' },
      { code: '123456', name: 'x'.repeat(41) },
      { code: '123456', name: 'a\nb' },
      { code: '123456', name: 'x', admin: true },
    ];
    for (const body of bodies) {
      const answer = await bed.post('/api/pair', body);
      expect([body, answer.status, codeOf(answer)]).toEqual([body, 400, 'bad-request']);
    }
    expect((await bed.post('/api/pair', { code: bed.pairing.code(), name: 'x' })).status).toBe(200);
  });

  it('shows a fresh code to the controller when a phone asks to pair and the old code has had its time', async () => {
    const shown = bed.codes.length;
    await bed.ask({ path: '/api/pair' });
    expect(bed.codes).toHaveLength(shown);
    bed.clock.monotonicMs += 600_000;
    const answer = await bed.ask({ path: '/api/pair' });
    expect(answer.json()).toEqual({ paired: false, name: null });
    await bed.ask({ path: '/api/pair' });
    expect(bed.codes).toHaveLength(shown + 1);
    expect(answer.text).not.toContain(bed.pairing.code());
  });

  it('tells a paired phone that it is paired, and under which name', async () => {
    const cookie = await bed.pair('Warden');
    const answer = await bed.ask({ path: '/api/pair', headers: { cookie } });
    expect(answer.json()).toEqual({ paired: true, name: 'Warden' });
  });

  it('ends the pairing of the phone that asks for it, at once, and takes the cookie back (V7.4.1)', async () => {
    const [cookie, other] = [await bed.pair('Warden'), await bed.pair('Cook')];
    const answer = await bed.post('/api/unpair', {}, cookie);
    expect([answer.status, answer.json()]).toEqual([200, { paired: false, name: null }]);
    expect(attributesOf(answer).get('expires')).toBe('Thu, 01 Jan 1970 00:00:00 GMT');
    expect((await bed.post('/api/command', { kind: 'allow-heat', id: 'a' }, cookie)).status).toBe(401);
    expect((await bed.post('/api/command', { kind: 'allow-heat', id: 'b' }, other)).status).toBe(200);
  });

  it('ends all pairings when a paired phone says that one was lost, and for nobody else (V7.4.3)', async () => {
    const cookies = [await bed.pair('Warden'), await bed.pair('Lost')];
    const stranger = await bed.post('/api/unpair', { everyone: true });
    expect([stranger.status, codeOf(stranger)]).toEqual([401, 'not-paired']);
    expect((await bed.post('/api/unpair', { everyone: true }, cookies[0])).status).toBe(200);
    for (const cookie of cookies) {
      expect((await bed.post('/api/command', { kind: 'allow-heat', id: 'a' }, cookie)).status).toBe(401);
    }
  });
});

describe('stream, whether this phone is paired', () => {
  it('says so in its first words, by the cookie of the handshake', async () => {
    const cookie = await bed.pair();
    const [paired, not] = [await bed.watch(undefined, { cookie }), await bed.watch()];
    await Promise.all([paired, not].map((one) => one.greeted()));
    expect(paired.page.seen[0]).toMatchObject({ type: 'hello', paired: true });
    expect(not.page.seen[0]).toMatchObject({ type: 'hello', paired: false });
  });

  it('tells the phone, and no other, as soon as its pairing ends', async () => {
    const [mine, theirs] = [await bed.pair('Mine'), await bed.pair('Theirs')];
    const [one, two] = [
      await bed.watch(undefined, { cookie: mine }),
      await bed.watch(undefined, { cookie: theirs }),
    ];
    for (const watcher of [one, two]) {
      await watcher.greeted();
      watcher.send(resumeOf(watcher.page));
      await watcher.until((page) => page.status !== null);
    }
    await bed.post('/api/unpair', {}, mine);
    await one.until((_, last) => last?.type === 'paired');
    expect(one.page.seen.at(-1)).toEqual({ type: 'paired', paired: false });
    bed.hub.commit();
    await two.until((page) => page.samples.length === 2);
    expect(two.page.seen.some((message) => message.type === 'paired')).toBe(false);
  });
});

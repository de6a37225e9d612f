import { randomBytes } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { hashToken, IDLE_MS, LIFETIME_MS, MAX_PHONES } from '../../controller/serve/phones.ts';
import { makeBench, START } from './pairing-bench.ts';
import { memoryStore } from './server-bed.ts';

describe('pairing, the token (OWASP ASVS 5.0 V7.2, V7.3, V7.4)', () => {
  it('has 256 bits of the injected randomness, and is kept only as its SHA-256', async () => {
    const seen: number[] = [];
    const bench = await makeBench(memoryStore(), (count) => {
      seen.push(count);
      return randomBytes(count);
    });
    const token = await bench.pair('Warden');
    expect(seen).toContain(32);
    expect(Buffer.from(token, 'base64url')).toHaveLength(32);
    expect(bench.store.text).not.toContain(token);
    expect(bench.store.text).toContain(hashToken(token));
    expect(bench.pairing.phoneOf(token)?.name).toBe('Warden');
    // FIPS 180-4 example: SHA-256 of "abc".
    expect(hashToken('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
  });

  it('survives a restart of the controller', async () => {
    const bench = await makeBench();
    const token = await bench.pair('Warden');
    await bench.reopen();
    expect(bench.pairing.phoneOf(token)?.name).toBe('Warden');
  });

  it('is replaced by a new one when the phone pairs again', async () => {
    const bench = await makeBench();
    const first = await bench.pair('Warden');
    const second = await bench.pair('Warden', first);
    expect(bench.pairing.phoneOf(first)).toBeNull();
    expect(bench.pairing.phoneOf(second)?.name).toBe('Warden');
  });

  it('ends when the phone is unpaired, at once and for good', async () => {
    const bench = await makeBench();
    const [gone, stays] = [await bench.pair('Gone'), await bench.pair('Stays')];
    const left: string[] = [];
    bench.pairing.onUnpaired((hash) => left.push(hash));
    await bench.pairing.unpair(gone);
    expect(left).toEqual([hashToken(gone)]);
    await bench.reopen();
    expect(bench.pairing.phoneOf(gone)).toBeNull();
    expect(bench.pairing.phoneOf(stays)?.name).toBe('Stays');
  });

  it('ends for all phones at once, as after a loss', async () => {
    const bench = await makeBench();
    const tokens = [await bench.pair('A'), await bench.pair('B')];
    await bench.pairing.unpairAll();
    await bench.reopen();
    for (const token of tokens) expect(bench.pairing.phoneOf(token)).toBeNull();
  });

  it('ends after 30 days without use, and after 180 days in any case', async () => {
    const bench = await makeBench();
    const token = await bench.pair();
    bench.clock.wallMs += IDLE_MS;
    expect(bench.pairing.phoneOf(token)).not.toBeNull();
    bench.clock.wallMs += IDLE_MS + 1;
    expect(bench.pairing.phoneOf(token)).toBeNull();
    const used = await bench.pair('Used');
    const end = bench.clock.wallMs + LIFETIME_MS;
    while (bench.clock.wallMs < end) {
      expect(bench.pairing.phoneOf(used)).not.toBeNull();
      bench.clock.wallMs += IDLE_MS / 2;
    }
    bench.clock.wallMs = end + 1;
    expect(bench.pairing.phoneOf(used)).toBeNull();
  });

  it('is valid again once a clock that woke up in the wrong year has been set right', async () => {
    const bench = await makeBench();
    const token = await bench.pair();
    bench.clock.wallMs = Date.UTC(2038, 0, 1);
    expect(bench.pairing.phoneOf(token)).toBeNull();
    bench.clock.wallMs = Date.UTC(1970, 0, 1);
    expect(bench.pairing.phoneOf(token)).not.toBeNull();
    bench.clock.wallMs = START + 1000;
    expect(bench.pairing.phoneOf(token)).not.toBeNull();
  });

  it('counts at most 32 phones: the one longest unused makes room', async () => {
    const bench = await makeBench();
    const tokens: string[] = [];
    for (let i = 0; i < MAX_PHONES; i += 1) {
      tokens.push(await bench.pair(`Phone ${i}`));
      bench.clock.wallMs += 60_000;
    }
    bench.clock.wallMs += 2 * 86_400_000;
    expect(bench.pairing.phoneOf(tokens[0])).not.toBeNull();
    const extra = await bench.pair('One more');
    expect(bench.pairing.phoneOf(tokens[0])).not.toBeNull();
    expect(bench.pairing.phoneOf(tokens[1])).toBeNull();
    expect(bench.pairing.phoneOf(extra)).not.toBeNull();
  });
});

describe('pairing, when the disk does not play along', () => {
  it('pairs all the same where the list cannot be saved, says so, and saves it with the next change', async () => {
    const store = memoryStore();
    const bench = await makeBench(store);
    const save = store.save;
    store.save = () => Promise.reject(new Error('no space left on device'));
    const token = await bench.pair('Warden');
    expect(bench.pairing.phoneOf(token)).not.toBeNull();
    expect(bench.log.join()).toContain('no space left on device');
    store.save = save;
    await bench.pair('Other');
    expect(store.text).toContain('Warden');
  });

  it('sets a list aside that cannot be read, says where it went, and pairs nobody by it', async () => {
    const phone = { tokenHash: hashToken('x'), name: 'X', pairedAtMs: START, usedAtMs: START };
    const bad = [
      '',
      '{"version":1,"phones":[',
      '[]',
      JSON.stringify({ version: 2, phones: [phone] }),
      JSON.stringify({ version: 1, phones: [{ ...phone, tokenHash: 'x' }] }),
      JSON.stringify({ version: 1, phones: [{ ...phone, admin: true }] }),
    ];
    for (const text of bad) {
      const bench = await makeBench(memoryStore(text));
      expect(bench.log).toHaveLength(1);
      expect(bench.log[0]).toContain('set aside as aside');
      expect(bench.pairing.phoneOf('x')).toBeNull();
    }
    const good = await makeBench(memoryStore(JSON.stringify({ version: 1, phones: [phone] })));
    expect(good.pairing.phoneOf('x')?.name).toBe('X');
  });
});

import { randomBytes } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { GUESSES_IN_ALL, GUESSES_PER_ADDRESS, LONGEST_WAIT_MS } from '../../controller/serve/guesses.ts';
import { CODE_LIFETIME_MS, openPairing, type Pairing } from '../../controller/serve/pairing.ts';
import { hashToken, IDLE_MS, LIFETIME_MS, MAX_PHONES } from '../../controller/serve/phones.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { memoryStore } from './server-bed.ts';

const START = Date.UTC(2026, 10, 25);

interface Bench {
  pairing: Pairing;
  readonly codes: string[];
  readonly log: string[];
  readonly clock: { wallMs: number; monotonicMs: number };
  readonly store: ReturnType<typeof memoryStore>;
  /** A wrong code, whatever the right one is; gives the code of the refusal. */
  guess(address?: string): Promise<string>;
  pair(name?: string, oldToken?: string, address?: string): Promise<string>;
  /** As after a restart of the controller. */
  reopen(): Promise<void>;
}

async function makeBench(
  store = memoryStore(),
  random: (count: number) => Uint8Array = randomBytes,
): Promise<Bench> {
  const codes: string[] = [];
  const log: string[] = [];
  const clock = { wallMs: START, monotonicMs: 0 };
  const open = (): Promise<Pairing> =>
    openPairing({
      store,
      wallMs: () => clock.wallMs,
      monotonicMs: () => clock.monotonicMs,
      randomBytes: random,
      onNewCode: (code) => codes.push(code),
      log: (line) => log.push(line),
    });
  const bench: Bench = {
    pairing: await open(),
    codes,
    log,
    clock,
    store,
    guess: async (address = '10.0.0.1') => {
      const right = codes.at(-1) ?? '';
      const code = right === '000000' ? '111111' : '000000';
      try {
        await bench.pairing.tryCode({ code, name: 'x', address, oldToken: undefined });
      } catch (error) {
        if (error instanceof BathkeeperError) return error.code;
        throw error;
      }
      return 'paired';
    },
    pair: async (name = 'Phone', oldToken, address = '10.0.0.2') => {
      const code = bench.pairing.code();
      return (await bench.pairing.tryCode({ code, name, address, oldToken })).token;
    },
    reopen: async () => {
      bench.pairing = await open();
    },
  };
  return bench;
}

describe('pairing, the code (OWASP ASVS 5.0 V6.4.1, V6.5)', () => {
  it('is six digits from the injected randomness, each of the million codes equally likely', async () => {
    // A draw of 32 bits has 4294 whole millions in it; what lies beyond must be thrown away.
    const draws = [4_294_000_000, 4_294_967_295, 4_293_999_999];
    const random = (count: number): Uint8Array => {
      const bytes = Buffer.alloc(count);
      if (count === 4) bytes.writeUInt32BE(draws.shift() ?? 0);
      return bytes;
    };
    const bench = await makeBench(memoryStore(), random);
    expect(bench.codes).toEqual(['999999']);
    expect(draws).toEqual([]);
    const many = await makeBench();
    for (let i = 0; i < 50; i += 1) await many.pair();
    for (const code of many.codes) expect(code).toMatch(/^\d{6}$/);
    expect(new Set(many.codes).size).toBeGreaterThan(40);
  });

  it('is shown at the start, and a new one after each use: no code works twice', async () => {
    const bench = await makeBench();
    const first = bench.codes[0] ?? '';
    expect(bench.pairing.code()).toBe(first);
    await bench.pair();
    expect(bench.codes).toHaveLength(2);
    expect(bench.pairing.code()).not.toBe(first);
    const again = { code: first, name: 'Second', address: '10.0.0.3', oldToken: undefined };
    await expect(bench.pairing.tryCode(again)).rejects.toMatchObject({ code: 'wrong-code' });
  });

  it('cannot be used twice by two phones at the same moment', async () => {
    const bench = await makeBench();
    const code = bench.pairing.code();
    const tries = ['a', 'b', 'c'].map((name) =>
      bench.pairing.tryCode({ code, name, address: name, oldToken: undefined }),
    );
    const outcomes = await Promise.allSettled(tries);
    expect(outcomes.filter((one) => one.status === 'fulfilled')).toHaveLength(1);
  });

  it('lives ten minutes at most; the next one is shown when somebody needs it', async () => {
    const bench = await makeBench();
    const old = bench.pairing.code();
    bench.clock.monotonicMs += CODE_LIFETIME_MS - 1;
    expect(bench.pairing.code()).toBe(old);
    bench.clock.monotonicMs += 1;
    const late = { code: old, name: 'Late', address: 'a', oldToken: undefined };
    await expect(bench.pairing.tryCode(late)).rejects.toMatchObject({ code: 'wrong-code' });
    expect(bench.codes).toHaveLength(2);
    expect(CODE_LIFETIME_MS).toBeLessThanOrEqual(600_000); // V6.5.5: ten minutes
    expect(await bench.pair()).toHaveLength(43);
  });
});

describe('pairing, guessing (OWASP ASVS 5.0 V6.3.1, V6.6.3)', () => {
  it('makes an address wait after five wrong codes, while others may still pair', async () => {
    const bench = await makeBench();
    for (let i = 0; i < GUESSES_PER_ADDRESS; i += 1) expect(await bench.guess()).toBe('wrong-code');
    expect(await bench.guess()).toBe('too-many-guesses');
    const right = { code: bench.pairing.code(), name: 'x', address: '10.0.0.1', oldToken: undefined };
    await expect(bench.pairing.tryCode(right)).rejects.toMatchObject({
      code: 'too-many-guesses',
      detail: 'The next try is possible in 60 s.',
    });
    expect(await bench.pair('Other', undefined, '10.0.0.9')).toHaveLength(43);
  });

  it('lets the address try again after a minute, then after two, four, up to an hour', async () => {
    const bench = await makeBench();
    const waits: number[] = [];
    // Others pair between, so that only the wait of this address is seen.
    for (let round = 0; round < 9; round += 1) {
      for (let i = 0; i < GUESSES_PER_ADDRESS; i += 1) expect(await bench.guess()).toBe('wrong-code');
      await bench.pair();
      let waited = 0;
      while ((await bench.guess()) === 'too-many-guesses') {
        waited += 1;
        bench.clock.monotonicMs += 1000;
      }
      waits.push(waited);
      for (let i = 0; i < GUESSES_PER_ADDRESS - 1; i += 1) await bench.guess();
      bench.clock.monotonicMs += LONGEST_WAIT_MS;
      await bench.pair();
    }
    // Each round holds two waits: the one measured and the one slept through.
    expect(waits).toEqual([60, 240, 960, 3600, 3600, 3600, 3600, 3600, 3600]);
  });

  it('renews the code and makes everybody wait after ten wrong codes from anywhere', async () => {
    const bench = await makeBench();
    const old = bench.pairing.code();
    for (let i = 0; i < GUESSES_IN_ALL; i += 1) expect(await bench.guess(`10.0.1.${i}`)).toBe('wrong-code');
    expect(bench.codes).toHaveLength(2);
    expect(bench.pairing.code()).not.toBe(old);
    expect(await bench.guess('10.0.2.1')).toBe('too-many-guesses');
    bench.clock.monotonicMs += 60_000;
    expect(await bench.pair()).toHaveLength(43);
  });

  it('judges fewer than 1000 guesses in 72 hours from any number of addresses: odds below 1 in 1000', async () => {
    const bench = await makeBench();
    let judged = 0;
    const end = 72 * 3_600_000;
    for (let address = 0; bench.clock.monotonicMs < end; address += 1) {
      if ((await bench.guess(`fd00::${address.toString(16)}`)) === 'wrong-code') judged += 1;
      else bench.clock.monotonicMs += 1000;
    }
    // Codes are uniform on a million, so the odds are at most judged / 1e6.
    expect(judged).toBeGreaterThan(700);
    expect(judged).toBeLessThan(1000);
  });

  it('forgives once somebody has read the code from the controller', async () => {
    const bench = await makeBench();
    for (let i = 0; i < GUESSES_IN_ALL - 1; i += 1) await bench.guess(`10.0.1.${i}`);
    await bench.pair();
    for (let i = 0; i < GUESSES_IN_ALL - 1; i += 1) {
      expect(await bench.guess(`10.0.3.${i}`)).toBe('wrong-code');
    }
    expect(await bench.pair()).toHaveLength(43);
  });

  it('goes by a clock that never steps: setting the wall clock neither ends a wait nor renews a code', async () => {
    const bench = await makeBench();
    for (let i = 0; i < GUESSES_PER_ADDRESS; i += 1) await bench.guess();
    const code = bench.pairing.code();
    bench.clock.wallMs += 365 * 86_400_000;
    expect(await bench.guess()).toBe('too-many-guesses');
    expect(bench.pairing.code()).toBe(code);
  });
});

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

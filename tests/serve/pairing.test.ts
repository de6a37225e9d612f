import { describe, expect, it } from 'vitest';
import { GUESSES_IN_ALL, GUESSES_PER_ADDRESS, LONGEST_WAIT_MS } from '../../controller/serve/guesses.ts';
import { CODE_LIFETIME_MS } from '../../controller/serve/pairing.ts';
import { makeBench } from './pairing-bench.ts';
import { memoryStore } from './server-bed.ts';

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

import { describe, expect, it } from 'vitest';
import { mix32, newRandom, normal, normalQuantile, pick, uniform } from '../../shared/units/random.ts';

describe('the seeded generator', () => {
  it('mixes as the finaliser of MurmurHash3 does (its published hashes of the empty key)', () => {
    expect(mix32(1)).toBe(0x514e28b7);
    expect(mix32(0xffffffff)).toBe(0x81f16f39);
    expect(mix32(0)).toBe(0);
  });

  it('gives equal streams for equal seeds and unequal ones for seeds that differ anywhere', () => {
    const first = (seed: number) => {
      const random = newRandom(seed);
      return [uniform(random), uniform(random), uniform(random)];
    };
    expect(first(7)).toEqual(first(7));
    const seeds = [0, 1, 2, -1, 0.5, 2 ** 32, 2 ** 32 + 1, 1e15];
    expect(new Set(seeds.map((seed) => first(seed).join())).size).toBe(seeds.length);
  });

  it('resumes to the same numbers after a round trip through JSON', () => {
    const random = newRandom(3);
    for (let i = 0; i < 10; i++) normal(random);
    const copy = JSON.parse(JSON.stringify(random));
    expect([uniform(copy), normal(copy)]).toEqual([uniform(random), normal(random)]);
  });

  it('is uniform: chi-square over 100 classes within the 0.1 % points of the table (60.3 to 148.2 for 99 df)', () => {
    const random = newRandom(11);
    const counts = new Array<number>(100).fill(0);
    const draws = 100_000;
    for (let i = 0; i < draws; i++) counts[pick(random, 100)]!++;
    const chiSquare = counts.reduce((sum, n) => sum + (n - draws / 100) ** 2 / (draws / 100), 0);
    expect(chiSquare).toBeGreaterThan(60.3);
    expect(chiSquare).toBeLessThan(148.2);
  });

  it('draws normal numbers of mean 0, variance 1 and the normal tails (68.27 and 99.73 %)', () => {
    const random = newRandom(5);
    const draws = 200_000;
    let sum = 0;
    let squares = 0;
    let within1 = 0;
    let within3 = 0;
    for (let i = 0; i < draws; i++) {
      const z = normal(random);
      sum += z;
      squares += z * z;
      if (Math.abs(z) < 1) within1++;
      if (Math.abs(z) < 3) within3++;
    }
    // Standard errors: 0.0022 of the mean, 0.0032 of the variance.
    expect(Math.abs(sum / draws)).toBeLessThan(0.009);
    expect(Math.abs(squares / draws - 1)).toBeLessThan(0.013);
    expect(within1 / draws).toBeCloseTo(0.6827, 2);
    expect(within3 / draws).toBeCloseTo(0.9973, 3);
  });

  it('draws numbers that do not foretell the next: lag-one correlation under 4 standard errors', () => {
    const random = newRandom(17);
    const draws = 100_000;
    let last = uniform(random) - 0.5;
    let sum = 0;
    for (let i = 0; i < draws; i++) {
      const next = uniform(random) - 0.5;
      sum += last * next;
      last = next;
    }
    expect(Math.abs((sum / draws) * 12)).toBeLessThan(4 / Math.sqrt(draws));
  });

  // Check values printed with Algorithm AS 241 (Wichura 1988).
  it.each([
    [0.25, -0.67448975],
    [0.001, -3.090232],
    [1e-20, -9.26234],
  ])('has the published normal quantile of %d', (p, z) => {
    expect(normalQuantile(p)).toBeCloseTo(z, 5);
    if (p > 1e-10) expect(normalQuantile(1 - p)).toBeCloseTo(-z, 5);
  });

  it('refuses a seed or probability that is none', () => {
    expect(() => newRandom(Number.NaN)).toThrow(/finite/);
    expect(() => normalQuantile(0)).toThrow(RangeError);
    expect(() => normalQuantile(1)).toThrow(RangeError);
  });
});

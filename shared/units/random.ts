/**
 * A small seeded generator whose whole state is one plain number, so that it survives JSON and a run can be
 * repeated from its seed. For simulation and campaigns only: nothing here is fit for secrets.
 *
 * Stream: a Weyl sequence (step = 2^32 / golden ratio) passed through a 32-bit mixing function, the
 * construction of Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014;
 * the mixer is the finaliser of MurmurHash3 (A. Appleby, public domain). Period 2^32.
 */

/** A generator's whole state. Hold it in plain data; the functions below advance `state` in place. */
export interface Random {
  state: number;
}

const WEYL_STEP = 0x9e3779b9;
const TWO_32 = 4294967296;

/**
 * Mixes the 32 bits of a number so that each input bit sways every output bit.
 * @param bits any number; its low 32 bits are used
 * @returns an integer 0..2^32-1
 */
export function mix32(bits: number): number {
  let h = bits | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/**
 * Starts a generator. Equal seeds give equal streams.
 * @param seed any finite number; fractions and digits beyond 2^32 count too
 * @throws RangeError when the seed is not finite
 */
export function newRandom(seed: number): Random {
  if (!Number.isFinite(seed)) throw new RangeError(`seed must be a finite number, got ${seed}`);
  const whole = Math.floor(seed);
  const high = mix32(Math.floor(whole / TWO_32) ^ 0x5bd1e995);
  const fraction = Math.floor((seed - whole) * TWO_32);
  return { state: mix32((whole >>> 0) + high + mix32(fraction)) };
}

/** The next number of the stream, uniform on the open interval (0, 1): neither end is ever given. */
export function uniform(random: Random): number {
  random.state = (random.state + WEYL_STEP) >>> 0;
  return (mix32(random.state) + 0.5) / TWO_32;
}

/** The next number of the stream, uniform between `low` and `high` (any unit). */
export function uniformBetween(random: Random, low: number, high: number): number {
  return low + (high - low) * uniform(random);
}

/**
 * The next number of the stream, log-uniform between `low` and `high` (both above zero): what to use for a
 * quantity known only to within a factor.
 */
export function logUniformBetween(random: Random, low: number, high: number): number {
  return low * (high / low) ** uniform(random);
}

/** The next number of the stream, an integer from 0 to `count` - 1. */
export function pick(random: Random, count: number): number {
  return Math.min(count - 1, Math.floor(uniform(random) * count));
}

/** The next number of the stream, normal with mean 0 and standard deviation 1. */
export function normal(random: Random): number {
  return normalQuantile(uniform(random));
}

/**
 * Quantile of the standard normal distribution.
 * Source: M. J. Wichura, Algorithm AS 241 (routine of 7 figures), Applied Statistics 37 (1988) 477-484.
 * @param p probability, 0 < p < 1
 * @returns z with P(Z < z) = p; about 7 figures
 * @throws RangeError outside (0, 1)
 */
export function normalQuantile(p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`a probability between 0 and 1 was expected, got ${p}`);
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    const top = ((59.10937472 * r + 159.29113202) * r + 50.434271938) * r + 3.3871327179;
    return (q * top) / (((67.1875636 * r + 78.757757664) * r + 17.895169469) * r + 1);
  }
  const tail = Math.sqrt(-Math.log(q < 0 ? p : 1 - p));
  const z = tail <= 5 ? nearTail(tail - 1.6) : farTail(tail - 5);
  return q < 0 ? -z : z;
}

function nearTail(r: number): number {
  const top = ((0.17023821103 * r + 1.3067284816) * r + 2.75681539) * r + 1.4234372777;
  return top / ((0.12021132975 * r + 0.7370016425) * r + 1);
}

function farTail(r: number): number {
  const top = ((0.017337203997 * r + 0.42868294337) * r + 3.081226386) * r + 6.657905115;
  return top / ((0.012258202635 * r + 0.24197894225) * r + 1);
}

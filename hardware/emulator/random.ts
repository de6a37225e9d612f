/**
 * A small repeatable source of chance: a 32-bit counter through a mixing function (the "mulberry32" scheme, in the
 * public domain). Its whole state is one number, so it fits in a snapshot.
 */
export class Dice {
  state: number;

  constructor(seed: number) {
    this.state = seed >>> 0;
  }

  /** The next number in 0 <= x < 1. */
  next(): number {
    this.state = (this.state + 0x6d2b79f5) >>> 0;
    let mixed = this.state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  }

  /** The next whole number in low <= n <= high. */
  integer(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1));
  }
}

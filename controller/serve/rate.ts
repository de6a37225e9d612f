/** How fast a bucket fills, how much it holds, and how many keys are remembered. */
export interface RateOptions {
  readonly perSecond: number;
  readonly burst: number;
  readonly keys: number;
  /** A clock that never steps, in milliseconds. */
  monotonicMs(): number;
}

interface Bucket {
  tokens: number;
  atMs: number;
}

/**
 * One token bucket a key. Memory is bounded: beyond `keys` the longest unseen key is forgotten,
 * which at worst gives that key a full bucket again.
 */
export class RateLimiter {
  readonly #options: RateOptions;
  readonly #buckets = new Map<string, Bucket>();

  constructor(options: RateOptions) {
    this.#options = options;
  }

  /** Takes one token; 0 when there was one, else the whole seconds until there will be. */
  take(key: string): number {
    const { perSecond, burst, keys } = this.#options;
    const nowMs = this.#options.monotonicMs();
    const old = this.#buckets.get(key) ?? { tokens: burst, atMs: nowMs };
    const tokens = Math.min(burst, old.tokens + ((nowMs - old.atMs) / 1000) * perSecond);
    const granted = tokens >= 1;
    // Deleting first moves the key to the end: the map's order is then the order of last use.
    this.#buckets.delete(key);
    this.#buckets.set(key, { tokens: granted ? tokens - 1 : tokens, atMs: nowMs });
    if (this.#buckets.size > keys) {
      const oldest = this.#buckets.keys().next().value;
      if (oldest !== undefined) this.#buckets.delete(oldest);
    }
    return granted ? 0 : Math.ceil((1 - tokens) / perSecond);
  }

  /** Keys remembered at present. */
  get size(): number {
    return this.#buckets.size;
  }
}

/** An address in one spelling, so that IPv4 mapped into IPv6 counts as the same phone. */
export function plainAddress(address: string | undefined): string {
  if (address === undefined) return 'unknown';
  return address.toLowerCase().startsWith('::ffff:') ? address.slice(7) : address;
}

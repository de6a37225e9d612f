import type { FastifyRequest } from 'fastify';
import type { Audit } from './audit.ts';
import type { Hub } from './hub.ts';
import type { ServeLimits } from './limits.ts';
import type { Pairing } from './pairing.ts';
import type { Phone } from './phones.ts';
import { plainAddress, RateLimiter } from './rate.ts';
import type { Stream } from './stream.ts';

/** The name of the one cookie. */
export const COOKIE = 'bathkeeper_phone';

/** What the log and the record call somebody without a paired phone. */
export const UNPAIRED = 'unpaired phone';

/** What all routes share. */
export interface ServeContext {
  readonly hub: Hub;
  readonly pairing: Pairing;
  readonly stream: Stream;
  readonly limits: ServeLimits;
  readonly audit: Audit;
  readonly rates: Rates;
  readonly startedAtMs: number;
  nowMs(): number;
  monotonicMs(): number;
}

/** The buckets of each address. Stopping has one of its own, so that nothing else can empty it. */
export interface Rates {
  readonly requests: RateLimiter;
  readonly commands: RateLimiter;
  readonly stops: RateLimiter;
}

/** Makes the buckets. */
export function makeRates(limits: ServeLimits, monotonicMs: () => number): Rates {
  const make = (perSecond: number, burst: number): RateLimiter =>
    new RateLimiter({ perSecond, burst, keys: limits.addresses, monotonicMs });
  return {
    requests: make(limits.requestsPerS, limits.requestsBurst),
    commands: make(limits.commandsPerS, limits.commandsBurst),
    stops: make(limits.commandsPerS, limits.commandsBurst),
  };
}

/** The address a request came from: that of the connection, whatever its headers claim. */
export function addressOf(request: FastifyRequest): string {
  return plainAddress(request.socket.remoteAddress);
}

/** The paired phone a request came from; null where it came from none. */
export function phoneOf(context: ServeContext, request: FastifyRequest): Phone | null {
  return context.pairing.phoneOf(request.cookies[COOKIE]);
}

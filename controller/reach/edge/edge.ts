import type { SecretRef } from '../../../shared/wire/reach.ts';
import type { Message } from '../../../shared/wire/reach-view.ts';
import type { Outcome } from '../work.ts';
import { SecretError } from './secrets.ts';

/** A channel's edge to the world. Neither function ever throws or waits for ever. */
export interface Edge {
  /** One attempt at one message. `signal`: the plan has given it up. */
  send(message: Message, signal: AbortSignal): Promise<Outcome>;
  /** Tries the way without sending anything to a person. */
  check(signal: AbortSignal): Promise<Outcome>;
}

/** What all edges share. */
export interface EdgeMeans {
  /** An attempt takes no longer than this, in real time. */
  readonly timeoutMs: number;
  /** Certificates to trust, PEM; null: the usual ones. */
  readonly ca: () => Promise<readonly string[] | null>;
  readonly secret: (ref: SecretRef) => Promise<string>;
  /** Whether a push service may have that address: a phone gives its name, and it must not lead into the house. */
  readonly mayPushTo: (address: string) => boolean;
  /** Wall clock, for what the receiver compares with its own. */
  readonly wallMs: () => number;
}

/** Nothing got through to the other end. */
export const unreachable = (why: string): Outcome => ({
  ok: false,
  permanent: false,
  at: 'connect',
  why,
  retryAfterMs: null,
});

/** The other end was reached and did not take it. */
export const refused = (why: string, permanent: boolean, retryAfterMs: number | null = null): Outcome => ({
  ok: false,
  permanent,
  at: 'answer',
  why,
  retryAfterMs,
});

/** Something is wrong here, in a file or the configuration, and stays so until somebody mends it. */
export const unusable = (why: string): Outcome => ({
  ok: false,
  permanent: true,
  at: 'connect',
  why,
  retryAfterMs: null,
});

/**
 * Says what went wrong by its code alone. The text of a foreign server or library is never passed on: it may repeat
 * addresses or secrets.
 */
export function codeText(error: unknown): string {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === 'string' && /^[A-Z0-9_]{2,60}$/.test(code) ? code : 'no code';
}

const CERTIFICATE =
  /CERT|SELF_SIGNED|UNABLE_TO_(GET_ISSUER|VERIFY)|ERR_TLS|ERR_SSL|EPROTO|HOSTNAME_MISMATCH|INVALID_CA|ETLS/;

/** The words for an error before or during a connection. */
export function connectionText(who: string, error: unknown): string {
  const code = codeText(error);
  return CERTIFICATE.test(code)
    ? `no secure connection with ${who}: its certificate or encryption was not accepted (${code})`
    : `${who} cannot be reached (${code})`;
}

/** What cannot be read here is a failure of the channel, not of the controller. */
export async function guarded(attempt: () => Promise<Outcome>): Promise<Outcome> {
  try {
    return await attempt();
  } catch (error) {
    if (error instanceof SecretError) return unusable(error.message);
    return refused(`something failed that should not (${(error as Error | null)?.name ?? 'unknown'})`, false);
  }
}

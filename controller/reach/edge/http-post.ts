import { type ClientRequest, request as httpRequest, type IncomingMessage } from 'node:http';
import { request as httpsRequest } from 'node:https';
import type { TLSSocket } from 'node:tls';
import type { Outcome } from '../work.ts';
import { connectionText, refused, unreachable } from './edge.ts';
import { lookupOf } from './public-address.ts';

/** More of an answer is not read: the status says all. */
const ANSWER_MOST_BYTES = 64 * 1024;

export interface PostOptions {
  readonly url: URL;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string | Buffer;
  /** For the whole of it, from resolving the name to the last byte of the answer. */
  readonly timeoutMs: number;
  readonly ca: readonly string[] | null;
  readonly signal: AbortSignal;
  /** Which addresses the name may resolve to; any where it is left out. */
  readonly mayCall?: (address: string) => boolean;
  /** How the other end is called in the log: no more of its address than may be known. */
  readonly who: string;
}

/** How a POST ended: with a status, or without one. */
export type PostEnd =
  | { readonly status: number; readonly retryAfterMs: number | null }
  | { readonly status: null; readonly outcome: Outcome };

/** One POST on a connection of its own. Follows no redirect. Never throws; ends within its time. */
export function httpPost(options: PostOptions): Promise<PostEnd> {
  const { url, headers, body, ca, who, mayCall } = options;
  return new Promise((resolve) => {
    const secure = url.protocol === 'https:';
    const make = secure ? httpsRequest : httpRequest;
    const request = make(url, {
      method: 'POST',
      headers: { ...headers, 'content-length': String(Buffer.byteLength(body)) },
      agent: false,
      ...(mayCall && { lookup: lookupOf(mayCall) }),
      ...(secure && ca !== null && { ca: [...ca] }),
    });
    let connected = false;
    const end = endOnce(options, request, resolve, () => connected);
    request.on('socket', (socket) => {
      (socket as TLSSocket).once(secure ? 'secureConnect' : 'connect', () => {
        connected = true;
      });
    });
    request.on('error', (error) => {
      const why = connected ? `${who} broke the connection off` : connectionText(who, error);
      end({ status: null, outcome: connected ? refused(why, false) : unreachable(why) });
    });
    request.on('response', (response) => readAnswer(response, who, end));
    request.end(body);
  });
}

type End = (end: PostEnd) => void;

/** Ends it once, whatever comes first: an answer, an error, the time or the plan. */
function endOnce(options: PostOptions, request: ClientRequest, resolve: End, connected: () => boolean): End {
  const { signal, timeoutMs, who } = options;
  const giveUp = (why: string): void =>
    end({ status: null, outcome: connected() ? refused(why, false) : unreachable(why) });
  const onAbort = (): void => giveUp('given up');
  const timer = setTimeout(() => giveUp(`${who} did not answer in ${timeoutMs / 1000} s`), timeoutMs);
  let ended = false;
  const end: End = (result) => {
    if (ended) return;
    ended = true;
    clearTimeout(timer);
    signal.removeEventListener('abort', onAbort);
    request.destroy();
    resolve(result);
  };
  if (signal.aborted) onAbort();
  else signal.addEventListener('abort', onAbort, { once: true });
  return end;
}

/** An answer counts once it is there whole: one that breaks off may come from something that died in between. */
function readAnswer(response: IncomingMessage, who: string, end: End): void {
  const answered = (): void =>
    end({ status: response.statusCode ?? 0, retryAfterMs: retryAfterMs(response.headers['retry-after']) });
  let bytes = 0;
  response.on('data', (chunk: Buffer) => {
    bytes += chunk.length;
    if (bytes > ANSWER_MOST_BYTES) answered();
  });
  response.on('end', answered);
  const brokeOff = (): void =>
    end({ status: null, outcome: refused(`the answer of ${who} broke off`, false) });
  response.on('error', brokeOff);
  response.on('close', brokeOff);
}

/** RFC 9110, section 10.2.3, in its form of seconds; dates would need a clock that both trust. */
function retryAfterMs(header: string | undefined): number | null {
  return header !== undefined && /^\d{1,6}$/.test(header) ? Number(header) * 1000 : null;
}

/** Statuses that ask to try again (RFC 9110, RFC 6585, RFC 8470). */
const TRY_AGAIN: ReadonlySet<number> = new Set([408, 425, 429]);

/** What a status means for a message: taken, not now, or not at all. */
export function outcomeOf(end: PostEnd, who: string): Outcome {
  if (end.status === null) return end.outcome;
  const { status } = end;
  if (status >= 200 && status < 300) return { ok: true, detail: `${who} took it (${status})` };
  if (status >= 300 && status < 400) {
    return refused(`${who} answered ${status}: redirects are not followed; give the final address`, true);
  }
  return refused(`${who} answered ${status}`, status < 500 && !TRY_AGAIN.has(status), end.retryAfterMs);
}

import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import { BathkeeperError, ERRORS } from '../../shared/wire/errors.ts';
import { COOKIE, type ServeContext, UNPAIRED } from './context.ts';
import { errorBody, toBathkeeperError } from './errors.ts';
import { CLIENT_HEADER, type Guard, type RequestOrigin } from './guard.ts';
import { plainAddress } from './rate.ts';
import { answerRaw } from './raw-answer.ts';

/** The headers that the guard looks at. */
export function originOf(headers: IncomingMessage['headers']): RequestOrigin {
  return {
    host: headers.host,
    origin: headers.origin,
    fetchSite: one(headers['sec-fetch-site']),
    client: one(headers[CLIENT_HEADER]),
  };
}

/** Makes the handler of WebSocket handshakes: everything is checked before a single byte of the answer. */
export function makeUpgrade(
  context: ServeContext,
  guard: Guard,
  parseCookie: (header: string) => Record<string, string>,
): (request: IncomingMessage, socket: Duplex, head: Buffer) => void {
  return (request, socket, head) => {
    socket.on('error', () => socket.destroy());
    const address = plainAddress(request.socket.remoteAddress);
    try {
      guard.check(originOf(request.headers), 'stream');
      if (request.url?.split('?')[0] !== '/stream') throw new BathkeeperError('not-found');
      if (context.rates.requests.take(address) > 0) throw new BathkeeperError('too-many-requests');
      const phone = context.pairing.phoneOf(parseCookie(request.headers.cookie ?? '')[COOKIE]);
      context.stream.accept(request, head, { address, tokenHash: phone?.tokenHash ?? null });
    } catch (thrown) {
      const { error } = toBathkeeperError(thrown);
      context.audit.refused({
        did: 'stream',
        address,
        who: UNPAIRED,
        outcome: error.code,
        detail: error.detail,
      });
      answerRaw(socket, ERRORS[error.code].http, errorBody(error));
    }
  };
}

function one(value: string | string[] | undefined): string | undefined {
  return Array.isArray(value) ? value.join(',') : value;
}

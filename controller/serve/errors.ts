import type { FastifyReply } from 'fastify';
import { BathkeeperError, ERRORS, type ErrorCode } from '../../shared/wire/errors.ts';

/** What goes over the wire for an error of the registry. */
export function errorBody(error: BathkeeperError): string {
  return JSON.stringify({ error: error.toJSON() });
}

/** Answers with an error of the registry. `retryAfterS` says when another try makes sense. */
export function sendError(reply: FastifyReply, error: BathkeeperError, retryAfterS = 0): FastifyReply {
  if (retryAfterS > 0) reply.header('retry-after', String(retryAfterS));
  // RFC 9110 section 15.5.2 wants a challenge with 401; this scheme is ours, so no browser asks for a password.
  if (error.code === 'not-paired') reply.header('www-authenticate', 'PairingCode realm="bathkeeper"');
  return reply.code(ERRORS[error.code].http).type('application/json; charset=utf-8').send(errorBody(error));
}

/** Whether a text is a code of the registry. */
export function isErrorCode(code: string | null): code is ErrorCode {
  return code !== null && Object.hasOwn(ERRORS, code);
}

/**
 * Brings any failure into the registry: what the framework refused by its HTTP status, everything
 * else, of which a stranger must learn nothing, as internal.
 */
export function toBathkeeperError(error: unknown): { error: BathkeeperError; expected: boolean } {
  if (error instanceof BathkeeperError) return { error, expected: true };
  const { statusCode, message } = error as { statusCode?: number; message?: string };
  if (statusCode === 413 || statusCode === 431) {
    return { error: new BathkeeperError('too-large'), expected: true };
  }
  if (statusCode !== undefined && statusCode >= 400 && statusCode < 500) {
    return { error: new BathkeeperError('bad-request', message ?? ''), expected: true };
  }
  return { error: new BathkeeperError('internal'), expected: false };
}

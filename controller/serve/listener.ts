import { createServer, type RequestListener, type Server } from 'node:http';
import type { Socket } from 'node:net';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { errorBody } from './errors.ts';
import type { ServeLimits } from './limits.ts';
import { plainAddress } from './rate.ts';
import { answerRaw } from './raw-answer.ts';

/** Connections one address may hold: a quarter of all, so that one machine cannot take every place. */
const SHARE = 4;

/** Node's HTTP server with every limit set. */
export function makeListener(handler: RequestListener, limits: ServeLimits): Server {
  const server = createServer(
    {
      maxHeaderSize: limits.headerBytes,
      headersTimeout: limits.headersMs,
      requestTimeout: limits.requestMs,
      keepAliveTimeout: limits.keepAliveMs,
      connectionsCheckingInterval: Math.min(2000, limits.headersMs),
    },
    handler,
  );
  server.maxConnections = limits.connections;
  const held = new Map<string, number>();
  server.on('connection', (socket: Socket) => {
    const address = plainAddress(socket.remoteAddress);
    const count = (held.get(address) ?? 0) + 1;
    held.set(address, count);
    socket.once('close', () => {
      const left = (held.get(address) ?? 1) - 1;
      if (left > 0) held.set(address, left);
      else held.delete(address);
    });
    if (count > limits.connections / SHARE) socket.destroy();
  });
  return server;
}

/** Answers what Node could not read as a request: too long a head, too slow a client, or no HTTP at all. */
export function onClientError(error: NodeJS.ErrnoException, socket: Socket): void {
  if (error.code === 'ECONNRESET' || socket.destroyed) return;
  if (error.code === 'HPE_HEADER_OVERFLOW') {
    answerRaw(socket, 431, errorBody(new BathkeeperError('too-large', 'The request head was too long.')));
  } else if (error.code === 'ERR_HTTP_REQUEST_TIMEOUT') {
    answerRaw(socket, 408, errorBody(new BathkeeperError('bad-request', 'The request came too slowly.')));
  } else {
    answerRaw(socket, 400, errorBody(new BathkeeperError('bad-request', 'That was no HTTP request.')));
  }
}

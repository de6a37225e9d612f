import { STATUS_CODES } from 'node:http';
import type { Duplex } from 'node:stream';
import { CLOSED_POLICY, COMMON_HEADERS } from './headers.ts';

/** Answers on a bare socket and closes it. */
export function answerRaw(socket: Duplex, status: number, body: string): void {
  if (!socket.writable) return;
  const headers = {
    ...COMMON_HEADERS,
    'content-security-policy': CLOSED_POLICY,
    'content-type': 'application/json; charset=utf-8',
    'content-length': String(Buffer.byteLength(body)),
    connection: 'close',
  };
  const head = Object.entries(headers).map(([name, value]) => `${name}: ${value}\r\n`);
  socket.end(`HTTP/1.1 ${status} ${STATUS_CODES[status] ?? ''}\r\n${head.join('')}\r\n${body}`);
}

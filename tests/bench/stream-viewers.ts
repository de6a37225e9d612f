import type { Socket } from 'node:net';
import { WebSocket } from 'ws';
import type { ServerMessage } from '../../shared/wire/stream.ts';

/** What the viewers saw. */
export interface ViewerReport {
  /** Each live message: the last sequence in it and when it came, in milliseconds since the epoch. */
  readonly receipts: readonly { sequence: number; atMs: number }[];
  /** From asking to the last row, at the slowest viewer; rows and bytes of one. */
  readonly backfill: { ms: number; rows: number; wireBytes: number; textBytes: number };
}

const [port = '', count = '1'] = process.argv.slice(2);
const receipts: { sequence: number; atMs: number }[] = [];
const backfill = { ms: 0, rows: 0, wireBytes: 0, textBytes: 0 };

/** One page: says that it has nothing, and notes when rows come. */
function watch(first: boolean): Promise<WebSocket> {
  const ws = new WebSocket(`ws://127.0.0.1:${port}/stream`, { origin: `http://127.0.0.1:${port}` });
  let askedAtMs = 0;
  return new Promise((resolve, reject) => {
    ws.on('error', reject);
    ws.on('message', (data) => {
      const atMs = performance.timeOrigin + performance.now();
      const text = String(data);
      const message = JSON.parse(text) as ServerMessage;
      if (message.type === 'hello') {
        askedAtMs = performance.now();
        ws.send(JSON.stringify({ type: 'resume', bootId: null, sequence: 0 }));
      }
      if (message.type === 'backfill') {
        if (first) {
          backfill.rows += message.tiers.length + message.samples.length;
          backfill.textBytes += text.length;
        }
        if (message.done) {
          backfill.ms = Math.max(backfill.ms, performance.now() - askedAtMs);
          if (first) backfill.wireBytes = (ws as unknown as { _socket: Socket })._socket.bytesRead;
        }
      }
      if (message.type === 'live') {
        const sequence = message.samples.at(-1)?.sequence;
        if (sequence !== undefined) receipts.push({ sequence, atMs });
        resolve(ws);
      }
    });
  });
}

const sockets = await Promise.all(Array.from({ length: Number(count) }, (_, i) => watch(i === 0)));
process.once('message', () => {
  for (const ws of sockets) ws.terminate();
  process.send?.({ receipts, backfill } satisfies ViewerReport);
  process.disconnect();
});
process.send?.('live');

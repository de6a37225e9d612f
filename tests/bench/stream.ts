import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { WebSocketServer } from 'ws';
import { FakeHub } from '../serve/fake-hub.ts';
import { type Bed, makeBed, withLimits } from '../serve/server-bed.ts';
import type { ViewerReport } from './stream-viewers.ts';

const VIEWERS = 8;
const COMMITS = 300;
const WARM_UP = 50;
/** Commits come this often here; on a real rig every 1.5 s, so that nothing queues there either. */
const PACE_MS = 20;

/**
 * From the commit to the receipt at each of eight viewers in another process (one row of two samples with three
 * bags, its events and the whole status), and the backfill of a cook of 72 hours. Baseline for the latency: the
 * same text sent by a bare WebSocket server, uncompressed.
 */
export async function benchStream(): Promise<string[]> {
  const hub = new FakeHub();
  hub.startCook('cook-1');
  hub.commit(72 * 3600);
  const bed = await makeBed({ hub, limits: withLimits({ requestsPerS: 1000, requestsBurst: 1000 }) });
  try {
    const live = await latencies(bed.port, () => hub.commit(2).throughSequence);
    const bare = await bareLatencies(hub);
    const [one, eight] = [await backfill(bed, 1), await backfill(bed, VIEWERS)];
    return [
      `stream, commit to receipt, ${VIEWERS} viewers: p50 ${ms(live, 0.5)} ms, p99 ${ms(live, 0.99)} ms (${live.length} receipts); baseline bare WebSocket p50 ${ms(bare, 0.5)} ms, p99 ${ms(bare, 0.99)} ms`,
      `stream, backfill of 72 h: ${one.ms.toFixed(0)} ms for one viewer, ${eight.ms.toFixed(0)} ms for ${VIEWERS} at once; ${one.rows} rows, ${(one.wireBytes / 1024).toFixed(0)} KiB on the wire, ${(one.textBytes / one.wireBytes).toFixed(1)} times smaller than as text`,
    ];
  } finally {
    await bed.close();
  }
}

/** Milliseconds from each commit to each receipt, ascending. */
async function latencies(port: number, commit: () => number): Promise<number[]> {
  const viewers = await startViewers(port, VIEWERS);
  const committed = new Map<number, number>();
  for (let i = 0; i < WARM_UP + COMMITS; i += 1) {
    await new Promise((resolve) => setTimeout(resolve, PACE_MS));
    const atMs = performance.timeOrigin + performance.now();
    committed.set(commit(), i < WARM_UP ? Number.NaN : atMs);
  }
  await new Promise((resolve) => setTimeout(resolve, 10 * PACE_MS));
  const report = await endViewers(viewers);
  const all = report.receipts.map(({ sequence, atMs }) => atMs - (committed.get(sequence) ?? Number.NaN));
  const known = all.filter((one) => !Number.isNaN(one)).sort((a, b) => a - b);
  if (known.length !== COMMITS * VIEWERS) {
    throw new Error(
      `${known.length} receipts, expected ${COMMITS * VIEWERS}: the figures would not be those of all`,
    );
  }
  return known;
}

async function bareLatencies(hub: FakeHub): Promise<number[]> {
  const server = new WebSocketServer({ port: 0, host: '127.0.0.1', perMessageDeflate: false });
  await once(server, 'listening');
  const send = (): number => {
    const { samples, events, status, throughSequence } = hub.tick(2);
    const text = JSON.stringify({ type: 'live', samples, events, status, degraded: false });
    for (const client of server.clients) client.send(text);
    return throughSequence;
  };
  server.on('connection', () => void send());
  const found = await latencies((server.address() as AddressInfo).port, send);
  for (const client of server.clients) client.terminate();
  server.close();
  return found;
}

async function backfill(bed: Bed, count: number): Promise<ViewerReport['backfill']> {
  // Each from a process that has begun already: what is timed is the stream, not the start of Node.
  const { backfill } = await endViewers(await startViewers(bed.port, count));
  return backfill;
}

async function startViewers(port: number, count: number): Promise<ChildProcess> {
  const file = fileURLToPath(
    new URL(`./stream-viewers${import.meta.url.endsWith('.ts') ? '.ts' : '.js'}`, import.meta.url),
  );
  const child = fork(file, [String(port), String(count)], { execArgv: ['--import', 'tsx'] });
  const [message] = await once(child, 'message');
  if (message !== 'live') throw new Error(`the viewers did not start: ${String(message)}`);
  return child;
}

async function endViewers(child: ChildProcess): Promise<ViewerReport> {
  const answer = once(child, 'message');
  child.send('report');
  const [report] = (await answer) as [ViewerReport];
  await once(child, 'exit');
  return report;
}

function ms(ascending: readonly number[], share: number): string {
  return (
    ascending[Math.min(ascending.length - 1, Math.floor(ascending.length * share))] ?? Number.NaN
  ).toFixed(2);
}

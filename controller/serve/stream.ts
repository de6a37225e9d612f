import type { IncomingMessage } from 'node:http';
import { type WebSocket, WebSocketServer } from 'ws';
import { CLIENT_MESSAGE_MAX_BYTES, type Hello, type ServerMessage } from '../../shared/wire/stream.ts';
import type { Committed, Hub } from './hub.ts';
import type { StreamLimits } from './limits.ts';
import { Receipts } from './receipts.ts';
import { Recent } from './recent.ts';
import { CLOSE, type StreamCounts, Viewer, type ViewerShared } from './viewer.ts';

/** Who opened a stream. */
export interface ViewerIdentity {
  readonly address: string;
  /** Hash of the phone's token where it is paired. */
  readonly tokenHash: string | null;
}

export interface StreamOptions {
  readonly limits: StreamLimits;
  /** Wall clock, told to the viewers. */
  nowMs(): number;
  monotonicMs(): number;
  fault(error: unknown): void;
}

/** All viewers of the stream. */
export interface Stream {
  /** Completes a handshake that has been checked already, and greets the viewer. */
  accept(request: IncomingMessage, head: Buffer, identity: ViewerIdentity): void;
  /** Tells the viewers of one phone that its pairing has ended. */
  unpaired(tokenHash: string): void;
  viewers(): number;
  readonly counts: StreamCounts;
  /** Says goodbye to every viewer and leaves no timer and no socket. */
  close(): Promise<void>;
}

interface Seat {
  readonly ws: WebSocket;
  readonly viewer: Viewer;
  readonly identity: ViewerIdentity;
  readonly receipts: Receipts;
  /** Something came from the other end since the last look. */
  heard: boolean;
}

const GOODBYE_MS = 500;

/** Opens the fan-out: one subscription to the commits, one message made a commit, any number of viewers. */
export function openStream(hub: Hub, options: StreamOptions): Stream {
  const { limits } = options;
  const seats = new Set<Seat>();
  const counts: StreamCounts = { messages: 0, backfills: 0, degraded: 0, refused: 0, lost: 0 };
  const before = hub.latest();
  const recent = new Recent(
    limits.recentSamples,
    before && { status: before.status, throughSequence: before.sequence },
  );
  // No await since `latest`: nothing can have been committed between the two.
  const unsubscribe = hub.onCommitted((committed) => {
    recent.push(committed);
    forward(committed, seats);
  });
  const shared: ViewerShared = {
    reader: hub.reader,
    recent,
    limits,
    counts,
    monotonicMs: options.monotonicMs,
    fault: options.fault,
  };
  const server = makeWebSockets();
  const beat = setInterval(() => sendBeat(hub, options.nowMs(), seats), limits.beatMs);
  const silence = setInterval(() => giveUpSilent(seats, counts), limits.silenceMs);

  return {
    accept: (request, head, identity) => {
      server.handleUpgrade(request, request.socket, head, (ws) => {
        if (isFull(seats, identity, limits)) {
          counts.refused += 1;
          refusePolitely(ws);
        } else {
          takeSeat(ws, identity, shared, seats).greet(hello(hub, options.nowMs(), identity));
        }
      });
    },
    unpaired: (tokenHash) => {
      const text = JSON.stringify({ type: 'paired', paired: false } satisfies ServerMessage);
      for (const seat of seats) if (seat.identity.tokenHash === tokenHash) seat.viewer.offer(text);
    },
    viewers: () => seats.size,
    counts,
    close: async () => {
      unsubscribe();
      clearInterval(beat);
      clearInterval(silence);
      await sayGoodbye(seats);
      server.close();
    },
  };
}

/**
 * Compression pays for messages of a kilobyte and more; without context takeover a viewer that
 * is silent holds no window in memory.
 */
function makeWebSockets(): WebSocketServer {
  return new WebSocketServer({
    noServer: true,
    clientTracking: false,
    maxPayload: CLIENT_MESSAGE_MAX_BYTES,
    perMessageDeflate: {
      threshold: 1024,
      serverNoContextTakeover: true,
      clientNoContextTakeover: true,
      concurrencyLimit: 4,
      zlibDeflateOptions: { level: 3, memLevel: 7 },
    },
  });
}

function forward(committed: Committed, seats: ReadonlySet<Seat>): void {
  let text: string | null = null;
  const live = (): string => {
    text ??= JSON.stringify({
      type: 'live',
      samples: [...committed.samples],
      events: [...committed.events],
      status: committed.status,
      degraded: false,
    } satisfies ServerMessage);
    return text;
  };
  for (const seat of seats) seat.viewer.committed(committed, live);
}

function hello(hub: Hub, nowMs: number, identity: ViewerIdentity): Hello {
  return {
    type: 'hello',
    bootId: hub.bootId,
    sequence: hub.latest()?.sequence ?? 0,
    serverTime: nowMs,
    installation: hub.installation,
    paired: identity.tokenHash !== null,
  };
}

function isFull(seats: ReadonlySet<Seat>, identity: ViewerIdentity, limits: StreamLimits): boolean {
  if (seats.size >= limits.viewers) return true;
  const same = [...seats].filter((seat) => seat.identity.address === identity.address);
  return same.length >= limits.viewersPerAddress;
}

/** After the handshake, for only then can a page read why it was sent away. */
function refusePolitely(ws: WebSocket): void {
  ws.on('error', () => ws.terminate());
  closeSoon(ws, CLOSE.tryLater, 'too-many-viewers');
}

/** Closes as the protocol wants it, but does not wait for long: a peer that never answers must not keep its place. */
function closeSoon(ws: WebSocket, code: number, reason: string): void {
  const timer = setTimeout(() => ws.terminate(), GOODBYE_MS);
  ws.once('close', () => clearTimeout(timer));
  ws.close(code, reason);
}

function takeSeat(ws: WebSocket, identity: ViewerIdentity, shared: ViewerShared, seats: Set<Seat>): Viewer {
  const receipts = new Receipts(() => ws.bufferedAmount);
  const viewer = new Viewer(
    {
      send: (text) => {
        ws.send(text);
        if (receipts.sent(text.length)) ws.ping(receipts.mark());
      },
      sentBytes: () => receipts.sentBytes,
      receivedBytes: () => receipts.receivedBytes,
      close: (code, reason) => closeSoon(ws, code, reason),
    },
    shared,
  );
  const seat: Seat = { ws, viewer, identity, receipts, heard: true };
  seats.add(seat);
  const greeting = setTimeout(() => viewer.greetingOver(), shared.limits.resumeMs);
  ws.on('message', (data, isBinary) => {
    seat.heard = true;
    viewer.receive(isBinary ? '' : String(data));
  });
  ws.on('pong', (data) => {
    seat.heard = true;
    receipts.received(data);
    viewer.moved();
  });
  ws.on('error', () => ws.terminate());
  ws.once('close', () => {
    clearTimeout(greeting);
    seats.delete(seat);
    viewer.closed();
  });
  return viewer;
}

/** The heartbeat of the application, and with it a ping: what was sent before it is known to have come with the pong. */
function sendBeat(hub: Hub, nowMs: number, seats: ReadonlySet<Seat>): void {
  const text = JSON.stringify({
    type: 'beat',
    serverTime: nowMs,
    journalLagMs: hub.journalLagMs(),
  } satisfies ServerMessage);
  for (const { ws, viewer, receipts } of seats) {
    viewer.offer(text);
    viewer.moved();
    if (receipts.unmarked) ws.ping(receipts.mark());
  }
}

function giveUpSilent(seats: ReadonlySet<Seat>, counts: StreamCounts): void {
  for (const seat of seats) {
    if (!seat.heard) {
      counts.lost += 1;
      seat.ws.terminate();
    }
    seat.heard = false;
  }
}

async function sayGoodbye(seats: ReadonlySet<Seat>): Promise<void> {
  const closed = [...seats].map(
    ({ ws }) => new Promise<void>((resolve) => ws.once('close', () => resolve())),
  );
  for (const { viewer } of seats) viewer.end(CLOSE.goingAway, 'closing');
  await Promise.all(closed);
}

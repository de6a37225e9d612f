import { randomBytes } from 'node:crypto';
import { request as httpRequest, type IncomingHttpHeaders } from 'node:http';
import { connect } from 'node:net';
import { WebSocket } from 'ws';
import type { Hub } from '../../controller/serve/hub.ts';
import { LIMITS, type ServeLimits } from '../../controller/serve/limits.ts';
import { openPairing, type Pairing, type PairingStore } from '../../controller/serve/pairing.ts';
import { type ServerOptions, startServer } from '../../controller/serve/server.ts';
import type { ServerMessage } from '../../shared/wire/stream.ts';
import { FakeHub, START_MS } from './fake-hub.ts';
import { WatchingPage } from './watching-page.ts';

/** What came back for a request. */
export interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
  readonly bytes: Buffer;
  /** The body as JSON. */
  json<T = Record<string, unknown>>(): T;
}

export interface Ask {
  readonly method?: string;
  readonly path: string;
  readonly headers?: Record<string, string>;
  readonly body?: string;
}

/** A real server on a free port of the loopback address, with a hub that the test steps. */
export interface Bed<H extends Hub = FakeHub> {
  readonly hub: H;
  readonly port: number;
  readonly pairing: Pairing;
  readonly codes: string[];
  readonly log: string[];
  /** A clock that the test moves; rates and codes go by it. */
  readonly clock: { monotonicMs: number };
  readonly origin: string;
  ask(ask: Ask): Promise<Answer>;
  /** POST as the page itself would. */
  post(path: string, body: unknown, cookie?: string): Promise<Answer>;
  /** Pairs a phone; gives its cookie. */
  pair(name?: string): Promise<string>;
  watch(page?: WatchingPage, headers?: Record<string, string>): Promise<Watcher>;
  close(): Promise<void>;
}

/** A page at the other end of a real WebSocket. */
export interface Watcher {
  readonly page: WatchingPage;
  readonly ws: WebSocket;
  send(text: string): void;
  /** Resolves once this connection has been greeted. */
  greeted(): Promise<void>;
  /** Resolves once the page satisfies a condition. */
  until(holds: (page: WatchingPage, last: ServerMessage | null) => boolean): Promise<void>;
  /** Resolves with the code and reason of the end. */
  ended(): Promise<{ code: number; reason: string }>;
  close(): Promise<void>;
}

/** Keeps paired phones in memory. */
export function memoryStore(text: string | null = null): PairingStore & { text: string | null } {
  return {
    text,
    async load() {
      return this.text;
    },
    async save(next) {
      this.text = next;
    },
    async setAside() {
      return 'aside';
    },
  };
}

/** Limits with the stream's and others' values replaced. */
export function withLimits(
  change: Partial<Omit<ServeLimits, 'stream'>> & { stream?: Partial<ServeLimits['stream']> },
): ServeLimits {
  return { ...LIMITS, ...change, stream: { ...LIMITS.stream, ...change.stream } };
}

/** Starts the bed. `limits` and the rest of the server's options may be replaced. */
export function makeBed(change: Partial<ServerOptions> & { hub?: FakeHub } = {}): Promise<Bed> {
  return makeBedOn(change.hub ?? new FakeHub(), change);
}

/** The same on any hub. */
export async function makeBedOn<H extends Hub>(hub: H, change: Partial<ServerOptions> = {}): Promise<Bed<H>> {
  const codes: string[] = [];
  const log: string[] = [];
  const clock = { monotonicMs: 1_000_000 };
  const pairing = await openPairing({
    store: memoryStore(),
    wallMs: () => START_MS,
    monotonicMs: () => clock.monotonicMs,
    randomBytes,
    onNewCode: (code) => codes.push(code),
    log: (line) => log.push(line),
  });
  const server = await startServer(hub, {
    host: '127.0.0.1',
    port: 0,
    allowedHosts: [],
    assetsDir: '/nowhere',
    pairing,
    now: () => START_MS,
    log: (line) => log.push(line),
    ownNames: () => ['hut-controller', 'hut-controller.local', '192.168.7.20', 'fd00::20'],
    monotonicMs: () => clock.monotonicMs,
    ...change,
  });
  const { port } = server;
  const origin = `http://127.0.0.1:${port}`;
  const ask = (what: Ask): Promise<Answer> => send(port, what);
  const post = (path: string, body: unknown, cookie = ''): Promise<Answer> =>
    ask({
      method: 'POST',
      path,
      headers: { origin, 'content-type': 'application/json', ...(cookie ? { cookie } : {}) },
      body: JSON.stringify(body),
    });
  return {
    hub,
    port,
    pairing,
    codes,
    log,
    clock,
    origin,
    ask,
    post,
    pair: async (name = 'Kitchen phone') => {
      const answer = await post('/api/pair', { code: pairing.code(), name });
      return cookieOf(answer);
    },
    watch: (page = new WatchingPage(), headers = {}) => watch(port, page, { origin, ...headers }),
    close: () => server.close(),
  };
}

/** The name=value part of the cookie that an answer sets. */
export function cookieOf(answer: Answer): string {
  return String(answer.headers['set-cookie']?.[0]).split(';')[0] ?? '';
}

function send(port: number, { method = 'GET', path, headers = {}, body }: Ask): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const request = httpRequest(
      { host: '127.0.0.1', port, method, path, headers, agent: false },
      (response) => {
        const pieces: Buffer[] = [];
        response.on('data', (piece: Buffer) => pieces.push(piece));
        response.on('error', reject);
        response.on('end', () => {
          const bytes = Buffer.concat(pieces);
          const text = bytes.toString('utf8');
          const { statusCode = 0 } = response;
          resolve({
            status: statusCode,
            headers: response.headers,
            text,
            bytes,
            json: () => JSON.parse(text),
          });
        });
      },
    );
    request.on('error', reject);
    request.end(body);
  });
}

async function watch(port: number, page: WatchingPage, headers: Record<string, string>): Promise<Watcher> {
  const ws = new WebSocket(`ws://127.0.0.1:${port}/stream`, { headers });
  const waiting = new Set<() => void>();
  let last: ServerMessage | null = null;
  let greeted = false;
  let fault: unknown = null;
  let end: { code: number; reason: string } | null = null;
  const wake = (): void => {
    for (const look of waiting) look();
  };
  ws.on('message', (data) => {
    try {
      last = page.take(String(data));
      greeted ||= last.type === 'hello';
    } catch (error) {
      fault = error;
    }
    wake();
  });
  ws.on('close', (code, reason) => {
    end = { code, reason: String(reason) };
    wake();
  });
  const condition = (holds: () => boolean): Promise<void> =>
    new Promise((resolve, reject) => {
      const look = (): void => {
        if (fault === null && !holds()) return;
        waiting.delete(look);
        if (fault === null) resolve();
        else reject(fault);
      };
      waiting.add(look);
      look();
    });
  await new Promise<void>((resolve, reject) => {
    ws.once('open', () => resolve());
    ws.once('error', reject);
  });
  return {
    page,
    ws,
    send: (text) => ws.send(text),
    greeted: () => condition(() => greeted),
    until: (holds) => condition(() => holds(page, last)),
    ended: async () => {
      await condition(() => end !== null);
      return end ?? { code: 0, reason: '' };
    },
    close: async () => {
      ws.close();
      await condition(() => end !== null);
    },
  };
}

/** Sends bytes as they are on a connection of its own; gives everything that comes until the server closes it. */
export function rawExchange(port: number, text: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(text));
    let answer = '';
    socket.on('data', (piece) => {
      answer += piece;
    });
    socket.on('error', (error: NodeJS.ErrnoException) =>
      error.code === 'ECONNRESET' || error.code === 'EPIPE' ? resolve(answer) : reject(error),
    );
    socket.on('close', () => resolve(answer));
  });
}

/** What a page says first: what it holds already. */
export function resumeOf(page: WatchingPage): string {
  return JSON.stringify({ type: 'resume', bootId: page.bootId, sequence: page.through });
}

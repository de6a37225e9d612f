import { readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { extname, join, normalize } from 'node:path';
import { type WebSocket, WebSocketServer } from 'ws';
import { forkAnswerSchema, liesSchema } from '../../shared/wire/command.ts';
import { ERRORS, type ErrorCode } from '../../shared/wire/errors.ts';
import { clientMessageSchema, RAW_BACKFILL_S, type ServerMessage } from '../../shared/wire/stream.ts';
import { FakeHut, HUT, type Scene } from './fake-hut.ts';

/**
 * A stand-in for the controller that speaks shared/wire with invented data, so that the page can be looked at
 * and its behaviour on a broken, silent or babbling link tested without a controller.
 */
const TYPES: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
};
const HEADERS = { 'content-security-policy': "default-src 'self'", 'x-content-type-options': 'nosniff' };
export const PAIRING_CODE = '471100';

export interface FakeServer {
  readonly port: number;
  readonly url: string;
  readonly commands: unknown[];
  readonly assetsDir: string;
  hut: FakeHut;
  /** True: the sockets stay open and say nothing. */
  silent: boolean;
  /** True: new connections are refused. */
  refusing: boolean;
  /** Sends raw text to every open page. */
  babble(text: string): void;
  /** Breaks every open connection. */
  cut(): void;
  close(): Promise<void>;
}

/** Serves the page built in `assetsDir` and the stream of one scene on a free port of this machine. */
export async function startFakeServer(scene: Scene, assetsDir: string): Promise<FakeServer> {
  const sockets = new Set<WebSocket>();
  const server = createServer((request, response) => {
    void answer(fake, request, response);
  });
  const stream = new WebSocketServer({ noServer: true });
  const fake: FakeServer = {
    port: 0,
    url: '',
    commands: [],
    assetsDir,
    hut: new FakeHut(scene, Date.now()),
    silent: false,
    refusing: false,
    babble: (text) => {
      for (const socket of sockets) socket.send(text);
    },
    cut: () => {
      for (const socket of sockets) socket.terminate();
    },
    close: async () => {
      clearInterval(ticking);
      for (const socket of sockets) socket.terminate();
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
    },
  };
  server.on('upgrade', (request, socket, head) => {
    if (fake.refusing) {
      socket.destroy();
      return;
    }
    stream.handleUpgrade(request, socket, head, (open) => {
      sockets.add(open);
      open.on('close', () => sockets.delete(open));
      greet(fake, open, request.headers.cookie?.includes('paired=1') === true);
    });
  });
  const ticking = setInterval(() => {
    if (fake.silent) return;
    const now = Date.now();
    for (const socket of sockets) {
      const status = fake.hut.status(now);
      send(socket, {
        type: 'live',
        samples: [fake.hut.sample(status.sequence)],
        events: [],
        status,
        degraded: false,
      });
    }
  }, 1000);
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const address = server.address();
  const port = typeof address === 'object' && address ? address.port : 0;
  return Object.assign(fake, { port, url: `http://127.0.0.1:${port}/` });
}

function send(socket: WebSocket, message: ServerMessage): void {
  socket.send(JSON.stringify(message));
}

function greet(fake: FakeServer, socket: WebSocket, paired: boolean): void {
  if (fake.silent) return;
  const sequence = fake.hut.sequenceAt(Date.now());
  send(socket, {
    type: 'hello',
    bootId: 'fake',
    sequence,
    serverTime: Date.now(),
    installation: HUT,
    paired,
  });
  socket.on('message', (data) => {
    const message = clientMessageSchema.parse(JSON.parse(String(data)));
    const now = fake.hut.sequenceAt(Date.now());
    const rawFrom = Math.max(message.sequence + 1, now - RAW_BACKFILL_S);
    const older = message.sequence + 1 < rawFrom;
    const samples = Array.from({ length: Math.max(0, now - rawFrom + 1) }, (_, i) =>
      fake.hut.sample(rawFrom + i),
    );
    send(socket, {
      type: 'backfill',
      cookId: 'cook-hut',
      reset: message.sequence === 0,
      tiers: older
        ? ([10, 60, 600] as const).flatMap((width) => fake.hut.tier(width, message.sequence + 1, now - 1))
        : [],
      samples,
      events: fake.hut.events(),
      done: true,
    });
  });
}

async function answer(fake: FakeServer, request: IncomingMessage, response: ServerResponse): Promise<void> {
  const path = new URL(request.url ?? '/', 'http://fake').pathname;
  const json = (status: number, body: unknown, extra: Record<string, string> = {}) => {
    response.writeHead(status, { ...HEADERS, 'content-type': 'application/json', ...extra });
    response.end(JSON.stringify(body));
  };
  const refuse = (code: ErrorCode, detail = '') => {
    const { cause, action, http } = ERRORS[code];
    json(http, { error: { code, cause, action, detail } });
  };
  if (request.method === 'POST') {
    const body = JSON.parse(await bodyOf(request)) as Record<string, unknown>;
    const paired = request.headers.cookie?.includes('paired=1') === true;
    if (path === '/api/pair') {
      if (body.code !== PAIRING_CODE) return refuse('wrong-code');
      return json(200, { paired: true }, { 'set-cookie': 'paired=1; HttpOnly; SameSite=Strict; Path=/' });
    }
    if (path === '/api/command') return obey(fake, body, paired, json, refuse);
    return json(200, {});
  }
  if (path === '/api/cooks') return json(200, []);
  if (path === '/api/plant') return json(200, truth(fake));
  return asset(fake.assetsDir, path, response);
}

function obey(
  fake: FakeServer,
  body: Record<string, unknown>,
  paired: boolean,
  json: (status: number, body: unknown) => void,
  refuse: (code: ErrorCode, detail?: string) => void,
): void {
  const { hut } = fake;
  const kind = String(body.kind);
  if (!paired && kind !== 'stop-heat' && kind !== 'acknowledge') {
    refuse('not-paired');
    return;
  }
  const low =
    typeof body.setpointC === 'number' && body.setpointC < 57.2 && body.lowSetpointConfirmed !== true;
  if (low) {
    refuse('setpoint-low', `Asked for ${Number(body.setpointC).toFixed(1)} °C.`);
    return;
  }
  fake.commands.push(body);
  if (kind === 'stop-heat') hut.stopped = true;
  if (kind === 'allow-heat') hut.stopped = false;
  if (typeof body.setpointC === 'number') hut.setpointC = body.setpointC;
  if (kind === 'bag-out') hut.outAtMs.set(String(body.bagId), Date.now());
  if (kind === 'bag-lies') hut.lies.set(String(body.bagId), liesSchema.parse(body.lies));
  if (kind === 'fork-test') {
    const test = { atMs: Date.now(), answer: forkAnswerSchema.parse(body.answer), by: 'fake phone' };
    hut.forkTests.set(String(body.bagId), [...(hut.forkTests.get(String(body.bagId)) ?? []), test]);
  }
  if (kind === 'acknowledge') {
    hut.alarms = hut.alarms.map((alarm) =>
      alarm.alarmId === body.alarmId
        ? { ...alarm, state: 'acknowledged', acknowledgedBy: 'fake phone' }
        : alarm,
    );
  }
  json(200, { id: String(body.id), accepted: true, code: null, detail: null });
}

function truth(fake: FakeServer): unknown {
  const { bathC } = fake.hut.sample(fake.hut.sequenceAt(Date.now()));
  const waterC = bathC ?? 0;
  return {
    waterC,
    topC: waterC + 0.1,
    bottomC: waterC - 0.1,
    elementC: waterC + 12,
    litres: 27.4,
    elementUncovered: false,
    lidOn: true,
    pumpOn: true,
    mainsOn: true,
    ambientC: 9,
    bags: [{ bagId: 'lamb-1', coreC: waterC - 2, afloat: false }],
  };
}

async function bodyOf(request: IncomingMessage): Promise<string> {
  let text = '';
  for await (const chunk of request) text += String(chunk);
  return text || '{}';
}

async function asset(assetsDir: string, path: string, response: ServerResponse): Promise<void> {
  const name = normalize(path === '/' ? '/index.html' : path);
  try {
    const content = await readFile(join(assetsDir, name));
    response.writeHead(200, { ...HEADERS, 'content-type': TYPES[extname(name)] ?? 'text/plain' });
    response.end(content);
  } catch {
    response.writeHead(404, HEADERS);
    response.end('not found');
  }
}

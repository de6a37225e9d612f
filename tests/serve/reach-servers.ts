import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import { type AddressInfo, createServer as createRawServer, type Server, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { vi } from 'vitest';
import type { EdgeMeans } from '../../controller/reach/edge/edge.ts';
import { readSecret, trusted } from '../../controller/reach/edge/secrets.ts';
import type { Message } from '../../shared/wire/reach-view.ts';
import { need } from '../need.mjs';

/** Everything here listens on this machine only. */
export const HERE = '127.0.0.1';

export interface Certificate {
  readonly key: string;
  readonly cert: string;
  readonly keyFile: string;
  readonly certFile: string;
}

/** Certificates made for one test run: one for this machine, one for another name, one that nobody trusts. */
export async function makeCertificates(): Promise<{
  good: Certificate;
  otherName: Certificate;
  untrusted: Certificate;
  /** Trusts the first two. */
  caFile: string;
  remove(): void;
}> {
  await need('openssl', 'openssl');
  const folder = mkdtempSync(join(tmpdir(), 'reach-certificates-'));
  const make = (name: string, subject: string): Certificate => {
    const [keyFile, certFile] = [join(folder, `${name}.key`), join(folder, `${name}.pem`)];
    const parts = [
      'req',
      '-x509',
      '-newkey',
      'ec',
      '-pkeyopt',
      'ec_paramgen_curve:P-256',
      '-nodes',
      '-days',
      '2',
    ];
    execFileSync(
      'openssl',
      [
        ...parts,
        '-keyout',
        keyFile,
        '-out',
        certFile,
        '-subj',
        `/CN=${name}`,
        '-addext',
        `subjectAltName=${subject}`,
      ],
      { stdio: 'ignore' },
    );
    return { keyFile, certFile, key: readFileSync(keyFile, 'utf8'), cert: readFileSync(certFile, 'utf8') };
  };
  const good = make('good', `IP:${HERE},DNS:localhost`);
  const otherName = make('other-name', 'DNS:elsewhere.example');
  const caFile = join(folder, 'trusted.pem');
  execFileSync('sh', ['-c', `cat ${good.certFile} ${otherName.certFile} > ${caFile}`]);
  const untrusted = make('untrusted', `IP:${HERE},DNS:localhost`);
  return { good, otherName, untrusted, caFile, remove: () => rmSync(folder, { recursive: true }) };
}

export interface Taken {
  readonly method: string;
  readonly path: string;
  readonly headers: IncomingMessage['headers'];
  readonly body: Buffer;
}

export interface HttpBed {
  readonly url: string;
  readonly taken: Taken[];
  /** What to do with the next requests. */
  answer: (response: ServerResponse, request: Taken) => void;
  close(): Promise<void>;
}

const OK = (response: ServerResponse): void => void response.writeHead(204).end();

/** A web server that keeps what it got and answers as the test says; with TLS where a certificate is given. */
export async function httpBed(tls?: Certificate): Promise<HttpBed> {
  const taken: Taken[] = [];
  const handle = (request: IncomingMessage, response: ServerResponse): void => {
    const chunks: Buffer[] = [];
    request.on('data', (chunk: Buffer) => chunks.push(chunk));
    request.on('end', () => {
      const { method = '', url: path = '', headers } = request;
      const one = { method, path, headers, body: Buffer.concat(chunks) };
      taken.push(one);
      bed.answer(response, one);
    });
  };
  const server = tls ? createTlsServer({ key: tls.key, cert: tls.cert }, handle) : createServer(handle);
  server.on('tlsClientError', () => undefined);
  const port = await listen(server);
  const bed: HttpBed = {
    url: `${tls ? 'https' : 'http'}://${HERE}:${port}`,
    taken,
    answer: OK,
    close: () => closeServer(server, () => server.closeAllConnections()),
  };
  return bed;
}

/** A server that does with each connection what the test says. */
export async function rawBed(
  onSocket: (socket: Socket) => void,
): Promise<{ port: number; opened: () => number; close(): Promise<void> }> {
  const sockets = new Set<Socket>();
  let opened = 0;
  const server = createRawServer((socket) => {
    opened += 1;
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    socket.on('error', () => undefined);
    onSocket(socket);
  });
  const port = await listen(server);
  return {
    port,
    opened: () => opened,
    close: () =>
      closeServer(server, () => {
        for (const socket of sockets) socket.destroy();
      }),
  };
}

/** A port on which nothing listens. */
export async function deadPort(): Promise<number> {
  const server = createRawServer();
  const port = await listen(server);
  await closeServer(server, () => undefined);
  return port;
}

/** Starts listening on a free port of this machine; gives the port. */
export function listen(server: Server): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(0, HERE, () => resolve((server.address() as AddressInfo).port));
  });
}

function closeServer(server: Server, cut: () => void): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
    cut();
  });
}

/** What edges need; patient unless the test is about patience. */
export function means(
  more: Partial<EdgeMeans> & { caFile?: string; env?: Record<string, string> } = {},
): EdgeMeans {
  return {
    timeoutMs: 20_000,
    ca: () => trusted(more.caFile ?? null),
    secret: (ref) => readSecret(ref, more.env ?? {}),
    mayPushTo: () => true,
    wallMs: () => Date.UTC(2026, 10, 25, 1, 0),
    ...more,
  };
}

/** A message such as the plan writes. */
export function message(more: Partial<Message> = {}): Message {
  return {
    kind: 'alarm',
    key: 'a1b2c3d4e5f60718293a4b5c6d7e8f90',
    kitchen: 'Hut kitchen',
    person: { id: 'cook', name: 'Night cook' },
    priority: 'high',
    subject: 'HIGH: Water probe lost - Hut kitchen',
    text: 'Water probe lost (high priority).\nWhat to do: Measure the water by hand. Ünïcode.',
    alarms: [
      {
        alarmId: 'probe-invalid',
        priority: 'high',
        title: 'Water probe lost',
        since: '2026-11-25T01:00:00.000Z',
        active: true,
        detail: 'No reading for 6 s; one every second was expected.',
        consequence: 'Heat is off.',
        action: 'Measure the water by hand.',
      },
    ],
    written: '2026-11-25T01:00:00.000Z',
    link: null,
    code: null,
    ...more,
  };
}

/** Never given up. */
export const patience = (): AbortSignal => new AbortController().signal;

/** Does it, and lets `timeoutMs` go by once the server has the request: no race with the clock of a busy machine. */
export async function afterTheTime<T>(bed: HttpBed, doIt: () => Promise<T>, timeoutMs: number): Promise<T> {
  const { answer } = bed;
  const taken = new Promise<void>((resolve) => {
    bed.answer = (response, request) => {
      answer(response, request);
      resolve();
    };
  });
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  try {
    const end = doIt();
    await taken;
    vi.advanceTimersByTime(timeoutMs);
    return await end;
  } finally {
    vi.useRealTimers();
    bed.answer = answer;
  }
}

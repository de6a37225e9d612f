import type { AddressInfo } from 'node:net';
import cookie from '@fastify/cookie';
import fastify, { type FastifyInstance, type FastifyRequest } from 'fastify';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { loadAssets } from './assets.ts';
import { makeAudit } from './audit.ts';
import { addressOf, makeRates, type ServeContext, UNPAIRED } from './context.ts';
import { sendError, toBathkeeperError } from './errors.ts';
import { Guard } from './guard.ts';
import { CLOSED_POLICY, COMMON_HEADERS } from './headers.ts';
import type { Hub } from './hub.ts';
import { LIMITS, type ServeLimits } from './limits.ts';
import { makeListener, onClientError } from './listener.ts';
import { machineNames } from './own-names.ts';
import type { Pairing } from './pairing.ts';
import { addCommandRoutes } from './routes-command.ts';
import { addCookRoutes } from './routes-cooks.ts';
import { addHandedRoutes } from './routes-handed.ts';
import { addHealthRoutes } from './routes-health.ts';
import { addPageRoutes } from './routes-page.ts';
import { addPairingRoutes } from './routes-pairing.ts';
import { addPlanRoutes } from './routes-plans.ts';
import { openStream, type Stream } from './stream.ts';
import { makeUpgrade, originOf } from './upgrade.ts';

export interface ServerOptions {
  /** Address to listen on. */
  readonly host: string;
  /** 0: any free port. */
  readonly port: number;
  /** Names beyond the machine's own by which this server may be called. */
  readonly allowedHosts: readonly string[];
  /** Folder of the built page. */
  readonly assetsDir: string;
  readonly pairing: Pairing;
  /** Real wall clock, milliseconds since the epoch; also on the simulated rig. */
  now(): number;
  log(line: string): void;
  /** The machine's own names and addresses. Default: as the system says at that moment. */
  ownNames?(): readonly string[];
  /** A clock that never steps. Default: performance.now. */
  monotonicMs?(): number;
  readonly limits?: ServeLimits;
}

/** A server that listens. */
export interface RunningServer {
  readonly port: number;
  /** Open streams of pages. */
  viewers(): number;
  /** Ends every connection; leaves no timer, no socket and no listener behind. */
  close(): Promise<void>;
}

/** Serves the page, the stream, the commands and the exports. Rejects where the port cannot be had. */
export async function startServer(hub: Hub, options: ServerOptions): Promise<RunningServer> {
  const assets = await loadAssets(options.assetsDir);
  const stream = openStream(hub, {
    limits: (options.limits ?? LIMITS).stream,
    nowMs: () => options.now(),
    monotonicMs: monotonic(options),
    fault: (error) => logFault(options, 'stream', error),
  });
  const context = makeContext(hub, options, stream);
  const guard = new Guard(options.allowedHosts, () => options.ownNames?.() ?? machineNames());
  const app = makeApp(context, options);
  app.server.on(
    'upgrade',
    makeUpgrade(context, guard, (header) => app.parseCookie(header)),
  );
  addChecks(app, context, guard);
  await app.register(cookie);
  addPageRoutes(app, assets);
  addCommandRoutes(app, context);
  addPairingRoutes(app, context);
  addCookRoutes(app, context);
  if (hub.plans) addPlanRoutes(app, context, hub.plans);
  if (hub.handed) await addHandedRoutes(app, context, hub.handed.routes, hub.handed.htmlPolicy);
  const endHealth = addHealthRoutes(app, context);
  const endPairing = options.pairing.onUnpaired((tokenHash) => stream.unpaired(tokenHash));
  const close = async (): Promise<void> => {
    endHealth();
    endPairing();
    await stream.close();
    await app.close();
  };
  try {
    await app.listen({ host: options.host, port: options.port });
  } catch (error) {
    await close();
    throw error;
  }
  return { port: (app.server.address() as AddressInfo).port, viewers: () => stream.viewers(), close };
}

function monotonic(options: ServerOptions): () => number {
  return () => options.monotonicMs?.() ?? performance.now();
}

function makeContext(hub: Hub, options: ServerOptions, stream: Stream): ServeContext {
  const limits = options.limits ?? LIMITS;
  const monotonicMs = monotonic(options);
  const nowMs = (): number => options.now();
  return {
    hub,
    pairing: options.pairing,
    stream,
    limits,
    audit: makeAudit((line) => options.log(line), nowMs, monotonicMs),
    rates: makeRates(limits, monotonicMs),
    startedAtMs: monotonicMs(),
    nowMs,
    monotonicMs,
  };
}

function makeApp(context: ServeContext, options: ServerOptions): FastifyInstance {
  const app = fastify({
    serverFactory: (handler) => makeListener(handler, context.limits),
    bodyLimit: context.limits.bodyBytes,
    forceCloseConnections: true,
    trustProxy: false,
    logger: false,
    clientErrorHandler: onClientError,
    frameworkErrors: (error, _request, reply) => {
      sendError(reply, toBathkeeperError(error).error);
    },
    routerOptions: { maxParamLength: 64 },
  });
  // Only JSON is read: a form or a text of another origin then cannot reach a route without a preflight.
  app.removeContentTypeParser('text/plain');
  app.setNotFoundHandler(async () => {
    throw new BathkeeperError('not-found');
  });
  app.setErrorHandler((thrown, _request, reply) => {
    const { error, expected } = toBathkeeperError(thrown);
    if (!expected) logFault(options, 'request', thrown);
    return sendError(reply, error);
  });
  return app;
}

/** What every request passes before anything else is done for it: headers, Host, Origin, rate. */
function addChecks(app: FastifyInstance, context: ServeContext, guard: Guard): void {
  app.addHook('onRequest', async (request, reply) => {
    reply.headers({
      ...COMMON_HEADERS,
      'content-security-policy': CLOSED_POLICY,
      'cache-control': 'no-store',
    });
    const change = request.method !== 'GET' && request.method !== 'HEAD';
    try {
      guard.check(originOf(request.headers), change ? 'change' : 'read');
    } catch (error) {
      note(context, request, error);
      throw error;
    }
    // Commands have buckets of their own, chosen by kind: a stop must never wait for anything else.
    if (request.url === '/api/command') return;
    const waitS = context.rates.requests.take(addressOf(request));
    if (waitS > 0) {
      reply.header('retry-after', String(waitS));
      throw new BathkeeperError('too-many-requests');
    }
  });
}

function note(context: ServeContext, request: FastifyRequest, thrown: unknown): void {
  const { error } = toBathkeeperError(thrown);
  context.audit.refused({
    did: 'request',
    address: addressOf(request),
    who: UNPAIRED,
    outcome: error.code,
    detail: error.detail,
  });
}

function logFault(options: ServerOptions, where: string, error: unknown): void {
  const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
  options.log(
    `${new Date(options.now()).toISOString()} fault=${where} ${JSON.stringify(text.slice(0, 2000))}`,
  );
}

import type { FastifyInstance } from 'fastify';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { addressOf, phoneOf, type ServeContext, UNPAIRED } from './context.ts';

/** What a handed route may know of a request; Host, Origin and rate were checked before. */
export interface HandedRequest {
  readonly body: unknown;
  readonly query: Readonly<Record<string, unknown>>;
  readonly who: string;
  readonly protocol: string;
  readonly hostname: string;
}

/** A route that another part of the controller hands to the server. Handlers throw BathkeeperError. */
export interface HandedRoute {
  readonly method: 'GET' | 'POST';
  readonly path: string;
  readonly needs: 'nothing' | 'pairing';
  readonly accepts: 'json' | 'form' | 'nothing';
  handle(request: HandedRequest): {
    readonly status: number;
    readonly type: 'json' | 'html';
    readonly body: unknown;
  };
}

/** Mounts routes that main hands over. `htmlPolicy` is the content policy of those that answer with a page. */
export async function addHandedRoutes(
  app: FastifyInstance,
  context: ServeContext,
  routes: readonly HandedRoute[],
  htmlPolicy: string,
): Promise<void> {
  await app.register(async (scope) => {
    // Forms are read within this scope alone; everywhere else only JSON is.
    scope.addContentTypeParser(
      'application/x-www-form-urlencoded',
      { parseAs: 'string' },
      (_request, body, done) => done(null, body),
    );
    for (const route of routes) {
      scope.route({
        method: route.method,
        url: route.path,
        handler: async (request, reply) => {
          const phone = phoneOf(context, request);
          const who = phone?.name ?? UNPAIRED;
          if (route.needs === 'pairing' && phone === null) throw new BathkeeperError('not-paired');
          if (route.accepts !== 'form' && typeof request.body === 'string') {
            throw new BathkeeperError('bad-request', 'Expected JSON.');
          }
          const answer = route.handle({
            body: request.body,
            query: request.query as Record<string, unknown>,
            who,
            protocol: request.protocol,
            hostname: request.hostname,
          });
          if (route.method === 'POST') {
            context.audit.done({ did: route.path, address: addressOf(request), who, outcome: 'accepted' });
          }
          reply.status(answer.status);
          if (answer.type === 'json') return answer.body;
          reply.header('content-security-policy', htmlPolicy);
          return reply.type('text/html; charset=utf-8').send(answer.body);
        },
      });
    }
  });
}

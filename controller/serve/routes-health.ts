import type { FastifyInstance } from 'fastify';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { ServeContext } from './context.ts';
import { sendError } from './errors.ts';
import { METRICS_TYPE, metricsText } from './metrics.ts';

/** Without a commit for this long, real time, the controller is not well. */
const COMMIT_SILENCE_MS = 10_000;

/** Whether the controller is well, for a watchdog, and its numbers, for a collector. */
export function addHealthRoutes(app: FastifyInstance, context: ServeContext): () => void {
  const { hub, stream } = context;
  let committedAtMs: number | null = null;
  const end = hub.onCommitted(() => {
    committedAtMs = context.monotonicMs();
  });

  app.get('/api/health', async (_request, reply) => {
    const silentMs = committedAtMs === null ? null : context.monotonicMs() - committedAtMs;
    if (silentMs === null || silentMs > COMMIT_SILENCE_MS) {
      const since = silentMs === null ? 'since the start' : `for ${Math.round(silentMs / 1000)} s`;
      return sendError(reply, new BathkeeperError('not-answering', `No tick was committed ${since}.`));
    }
    return {
      ok: true,
      bootId: hub.bootId,
      sequence: hub.latest()?.sequence ?? 0,
      sinceCommitMs: silentMs,
      journalLagMs: hub.journalLagMs(),
      viewers: stream.viewers(),
    };
  });

  app.get('/metrics', async (_request, reply) =>
    reply.type(METRICS_TYPE).send(
      metricsText({
        status: hub.latest()?.status ?? null,
        sequence: hub.latest()?.sequence ?? 0,
        journalLagMs: hub.journalLagMs(),
        viewers: stream.viewers(),
        stream: stream.counts,
        residentBytes: process.memoryUsage.rss(),
        uptimeMs: context.monotonicMs() - context.startedAtMs,
        version: hub.installation.codeVersion,
      }),
    ),
  );
  return end;
}

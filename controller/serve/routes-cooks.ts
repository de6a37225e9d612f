import { createHash } from 'node:crypto';
import { pipeline, Readable } from 'node:stream';
import { createGzip } from 'node:zlib';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { cookCsvMetadata } from '../journal/csv-metadata.ts';
import { cookCsv, cookJson } from '../journal/export.ts';
import { STYLE } from '../journal/record/html.ts';
import { cookRecordHtml } from '../journal/record/page.ts';
import { codingOf } from './assets.ts';
import type { ServeContext } from './context.ts';
import { CLOSED_POLICY } from './headers.ts';

type ById = { Params: { id: string } };

/** The list of cooks and the exports of each. */
export function addCookRoutes(app: FastifyInstance, context: ServeContext): void {
  const { reader } = context.hub;
  const running = makeGate(context.limits.exportsAtOnce);

  app.get('/api/cooks', async () =>
    (await reader.cooks()).map(({ cookId, name, stage, startedAtMs, endedAtMs }) => ({
      cookId,
      name,
      stage,
      startedAtMs,
      endedAtMs,
    })),
  );

  app.get<ById>('/api/cooks/:id/export.csv', async (request, reply) => {
    const id = cookIdOf(request);
    // CSV on the Web, "Model for Tabular Data" section 5.2: the description is found by this link.
    reply.header('link', '<export.csv-metadata.json>; rel="describedby"; type="application/csvm+json"');
    reply.type('text/csv; charset=utf-8; header=present');
    return sendPieces(request, reply, running, `${id}.csv`, cookCsv(reader, id));
  });

  app.get<ById>('/api/cooks/:id/export.csv-metadata.json', async (request, reply) => {
    const text = await cookCsvMetadata(reader, cookIdOf(request), 'export.csv');
    return reply.type('application/csvm+json').send(text);
  });

  app.get<ById>('/api/cooks/:id/export.json', async (request, reply) => {
    const id = cookIdOf(request);
    reply.type('application/json; charset=utf-8');
    return sendPieces(request, reply, running, `${id}.json`, cookJson(reader, id));
  });

  app.get<ById>('/api/cooks/:id/record.html', async (request, reply) => {
    const id = cookIdOf(request);
    reply.type('text/html; charset=utf-8').header('content-security-policy', RECORD_POLICY);
    return sendPieces(request, reply, running, `${id}.html`, cookRecordHtml(reader, id), 'inline');
  });
}

/** The record loads nothing and runs nothing; only its own style, known by its digest, applies. */
const RECORD_POLICY = CLOSED_POLICY.replace(
  "default-src 'none'",
  `default-src 'none'; style-src 'sha256-${createHash('sha256').update(STYLE).digest('base64')}'`,
);

function cookIdOf(request: FastifyRequest<ById>): string {
  const { id } = request.params;
  if (!/^[A-Za-z0-9_-]{1,64}$/.test(id)) throw new BathkeeperError('cook-unknown');
  return id;
}

/** Lets so many through at once. */
function makeGate(places: number): { enter(): () => void } {
  let inside = 0;
  return {
    enter: () => {
      if (inside >= places) {
        throw new BathkeeperError('too-many-requests', `${inside} exports are running already.`);
      }
      inside += 1;
      let left = false;
      return () => {
        if (!left) inside -= 1;
        left = true;
      };
    },
  };
}

/**
 * Sends text piece by piece, compressed where the client takes it. The first piece is fetched before
 * anything is sent, so that an unknown cook is a clean refusal; a client that leaves ends the reading.
 */
async function sendPieces(
  request: FastifyRequest,
  reply: FastifyReply,
  gate: { enter(): () => void },
  fileName: string,
  pieces: AsyncIterable<string>,
  disposition: 'attachment' | 'inline' = 'attachment',
): Promise<FastifyReply> {
  const leave = gate.enter();
  const iterator = pieces[Symbol.asyncIterator]();
  try {
    const first = await iterator.next();
    const source = Readable.from(continued(first, iterator), { objectMode: false });
    source.once('close', leave);
    reply.header('content-disposition', `${disposition}; filename="bathkeeper-${fileName}"`);
    reply.header('vary', 'accept-encoding');
    if (codingOf(request.headers['accept-encoding'], ['gzip']) === null) return reply.send(source);
    reply.header('content-encoding', 'gzip');
    return reply.send(pipeline(source, createGzip({ level: 4 }), () => {}));
  } catch (error) {
    leave();
    throw error;
  }
}

async function* continued(
  first: IteratorResult<string>,
  iterator: AsyncIterator<string>,
): AsyncGenerator<string> {
  try {
    for (let piece = first; !piece.done; piece = await iterator.next()) yield piece.value;
  } finally {
    await iterator.return?.();
  }
}

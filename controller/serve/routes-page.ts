import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { type Asset, codingOf } from './assets.ts';
import { pagePolicy } from './headers.ts';

/** The page and its files, from memory; one route a file, so that nothing else can be asked for. */
export function addPageRoutes(app: FastifyInstance, assets: ReadonlyMap<string, Asset>): void {
  for (const [path, asset] of assets) {
    app.get(path, async (request, reply) => sendAsset(request, reply, asset));
  }
  if (!assets.has('/')) {
    app.get('/', async () => {
      throw new BathkeeperError('not-found', 'The page has not been built. Run: npm run build');
    });
  }
}

function sendAsset(request: FastifyRequest, reply: FastifyReply, asset: Asset): FastifyReply {
  if (asset.isPage) reply.header('content-security-policy', pagePolicy(request.headers.host ?? ''));
  reply
    .header('cache-control', cachingOf(asset))
    .header('etag', asset.etag)
    .header('vary', 'accept-encoding');
  if (request.headers['if-none-match'] === asset.etag) return reply.code(304).send();
  const coding = codingOf(request.headers['accept-encoding'], ['br', 'gzip']);
  const coded = coding && asset[coding];
  if (coded) reply.header('content-encoding', coding);
  return reply.type(asset.type).send(coded ?? asset.plain);
}

function cachingOf(asset: Asset): string {
  if (asset.isPage) return 'no-store';
  return asset.immutable ? 'public, max-age=31536000, immutable' : 'no-cache';
}

import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { issueLines } from '../../shared/wire/config.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { addressOf, COOKIE, phoneOf, type ServeContext, UNPAIRED } from './context.ts';
import { LIFETIME_MS } from './phones.ts';

const pairSchema = z.strictObject({
  code: z.string().regex(/^\d{6}$/, 'six digits'),
  name: z
    .string()
    .trim()
    .min(1)
    .max(40)
    .regex(/^[^\p{C}\p{Zl}\p{Zp}]*$/u, 'no control characters'),
});
const unpairSchema = z.strictObject({ everyone: z.boolean().default(false) }).prefault({});

/** Pairing a phone, asking whether it is paired, and ending it. */
export function addPairingRoutes(app: FastifyInstance, context: ServeContext): void {
  const { pairing, audit } = context;

  // Whoever opens the form finds a code in force: one that had its time is renewed and shown.
  app.get('/api/pair', async (request) => {
    const phone = phoneOf(context, request);
    if (phone === null) pairing.code();
    return { paired: phone !== null, name: phone?.name ?? null };
  });

  app.post('/api/pair', async (request, reply) => {
    const parsed = pairSchema.safeParse(request.body);
    if (!parsed.success) throw new BathkeeperError('bad-request', issueLines(parsed.error).join('; '));
    const { code, name } = parsed.data;
    const address = addressOf(request);
    const entry = { did: 'pair', address, who: name };
    const oldToken = request.cookies[COOKIE];
    try {
      const { token } = await pairing.tryCode({ code, name, address, oldToken });
      audit.done({ ...entry, outcome: 'accepted' });
      setCookie(request, reply, token);
      return { paired: true, name };
    } catch (error) {
      audit.refused({ ...entry, outcome: error instanceof BathkeeperError ? error.code : 'failed' });
      throw error;
    }
  });

  app.post('/api/unpair', async (request, reply) => {
    const parsed = unpairSchema.safeParse(request.body ?? {});
    if (!parsed.success) throw new BathkeeperError('bad-request', issueLines(parsed.error).join('; '));
    const phone = phoneOf(context, request);
    const token = request.cookies[COOKIE];
    const did = parsed.data.everyone ? 'unpair-everyone' : 'unpair';
    const entry = { did, address: addressOf(request), who: phone?.name ?? UNPAIRED };
    if (phone === null || token === undefined) {
      audit.refused({ ...entry, outcome: 'not-paired' });
      throw new BathkeeperError('not-paired');
    }
    if (parsed.data.everyone) await pairing.unpairAll();
    else await pairing.unpair(token);
    audit.done({ ...entry, outcome: 'accepted' });
    reply.clearCookie(COOKIE, { path: '/' });
    return { paired: false, name: null };
  });
}

/** Scripts never see the token. `Secure` only where a proxy gives the page over https: on plain http it would be lost. */
function setCookie(request: FastifyRequest, reply: FastifyReply, token: string): void {
  reply.setCookie(COOKIE, token, {
    path: '/',
    httpOnly: true,
    sameSite: 'strict',
    secure: request.headers.origin?.startsWith('https://') ?? false,
    maxAge: LIFETIME_MS / 1000,
  });
}

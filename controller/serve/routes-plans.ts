import type { FastifyInstance, FastifyRequest } from 'fastify';
import { rigAnswer } from '../../shared/plan/rig.ts';
import { boxTakes } from '../../shared/plan/room.ts';
import { issueLines } from '../../shared/wire/config.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { planMoveSchema, planPutSchema } from '../../shared/wire/plan.ts';
import { addressOf, phoneOf, type ServeContext, UNPAIRED } from './context.ts';
import { planCalendar } from './plans/calendar.ts';
import type { PlanDesk } from './plans/desk.ts';

type ById = { Params: { id: string }; Querystring: { serveBy?: unknown } };

/** The plans of the kitchen: read by every phone, changed by paired ones. */
export function addPlanRoutes(app: FastifyInstance, context: ServeContext, desk: PlanDesk): void {
  const { book, follower } = desk;

  app.get('/api/plans', async () => ({ plans: book.list() }));

  app.get<{ Querystring: { bathC?: unknown } }>('/api/plans/known', async ({ query }) =>
    desk.known(numberIn(query.bathC, 'bathC', 40, 95)),
  );

  app.get<{ Querystring: RigQuery }>('/api/plans/rig', async ({ query }) => rigQuery(desk, query));

  app.get<ById>('/api/plans/:id', async ({ params }) => book.get(params.id));

  app.put<ById>('/api/plans/:id', (request) =>
    byPhone(context, request, 'plan-put', (who) =>
      book.put(request.params.id, parsed(planPutSchema, request.body), who),
    ),
  );

  app.delete<ById>('/api/plans/:id', (request) =>
    byPhone(context, request, 'plan-delete', async () => {
      await book.remove(request.params.id);
      return { deleted: true };
    }),
  );

  app.get<ById>('/api/plans/:id/calendar.ics', async ({ params }, reply) => {
    const stored = book.get(params.id);
    reply.header('content-disposition', `attachment; filename="bathkeeper-${stored.planId}.ics"`);
    return reply.type('text/calendar; charset=utf-8; method=PUBLISH').send(planCalendar(stored));
  });

  app.get<ById>('/api/plans/:id/outlook', async ({ params, query }, reply) => {
    const { planId } = book.get(params.id);
    const { serveBy } = query;
    if (serveBy === undefined) return reply.send(JSON.stringify(follower.outlook(planId)));
    if (typeof serveBy !== 'string') throw new BathkeeperError('bad-request', 'serveBy: given once');
    return reply.send(await follower.whatIf(planId, serveBy));
  });

  app.put<ById>('/api/plans/:id/move', (request) =>
    byPhone(context, request, 'plan-move', () =>
      follower.move(request.params.id, parsed(planMoveSchema, request.body).serveBy),
    ),
  );
}

type RigQuery = Partial<Record<'bathC' | 'hours' | 'price' | 'bagKg', unknown>>;

/** "Will this rig do it?", by what has been learned of it; and how many bags it takes. */
function rigQuery(desk: PlanDesk, query: RigQuery) {
  const bathC = numberIn(query.bathC, 'bathC', 40, 95) ?? 74;
  const hours = numberIn(query.hours, 'hours', 0, 168) ?? 12;
  const bagKg = numberIn(query.bagKg, 'bagKg', 0.05, 15) ?? 2;
  const { rig } = desk.known(bathC);
  const answer = rigAnswer(rig, bathC, hours, numberIn(query.price, 'price', 0, 1e6));
  return { ...answer, bags: boxTakes(rig, bagKg, bathC) };
}

function numberIn(text: unknown, name: string, low: number, high: number): number | undefined {
  if (text === undefined) return undefined;
  const value = typeof text === 'string' && text.trim() !== '' ? Number(text) : Number.NaN;
  if (value >= low && value <= high) return value;
  throw new BathkeeperError('bad-request', `${name}: a number from ${low} to ${high}`);
}

interface Schema<T> {
  safeParse(
    body: unknown,
  ): { success: true; data: T } | { success: false; error: Parameters<typeof issueLines>[0] };
}

function parsed<T>(schema: Schema<T>, body: unknown): T {
  const result = schema.safeParse(body);
  if (!result.success) throw new BathkeeperError('bad-request', issueLines(result.error).join('; '));
  return result.data;
}

/** A change by a paired phone, with who did it in the log of the server. */
async function byPhone<T>(
  context: ServeContext,
  request: FastifyRequest<ById>,
  did: string,
  change: (who: string) => Promise<T>,
): Promise<T> {
  const phone = phoneOf(context, request);
  const entry = { did, address: addressOf(request), who: phone?.name ?? UNPAIRED };
  const { audit } = context;
  const detail = request.params.id;
  try {
    if (phone === null) throw new BathkeeperError('not-paired');
    const result = await change(phone.name);
    audit.done({ ...entry, outcome: 'accepted', detail });
    return result;
  } catch (error) {
    audit.refused({ ...entry, outcome: error instanceof BathkeeperError ? error.code : 'failed', detail });
    throw error;
  }
}

import type { z } from 'zod';
import { issueLines } from '../../shared/wire/config.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import {
  answerBodySchema,
  subscribeBodySchema,
  testBodySchema,
  unsubscribeBodySchema,
} from '../../shared/wire/reach-view.ts';
import { answerForm, answerRefused, answerThanks, STYLE_SOURCE } from './answer-page.ts';
import { pushFault } from './push-desk.ts';
import type { Reach } from './reach.ts';

/** What a handler may know of a request; the server has checked Host, Origin and rate before. */
export interface ReachRequest {
  /** Parsed JSON, or the raw text of a form. */
  readonly body: unknown;
  readonly query: Readonly<Record<string, unknown>>;
  /** Name of the paired phone, or what the server calls somebody without one. */
  readonly who: string;
  /** `http` or `https`, as the browser has it. */
  readonly protocol: string;
  readonly hostname: string;
}

/** What to answer. `html` comes with the policy of `ANSWER_POLICY`. */
export interface ReachReply {
  readonly status: number;
  readonly type: 'json' | 'html';
  readonly body: unknown;
}

/** One route for the server to mount. Handlers throw BathkeeperError. */
export interface ReachRoute {
  readonly method: 'GET' | 'POST';
  readonly path: string;
  /** `pairing`: only from a paired phone. */
  readonly needs: 'nothing' | 'pairing';
  /** `form`: application/x-www-form-urlencoded, handed over as text. */
  readonly accepts: 'json' | 'form' | 'nothing';
  handle(request: ReachRequest): ReachReply;
}

/** The policy for the answer page: its own style, a form to the same place, and nothing else. */
export const ANSWER_POLICY = `default-src 'none'; style-src ${STYLE_SOURCE}; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; object-src 'none'`;

const json = (body: unknown): ReachReply => ({ status: 200, type: 'json', body });
const html = (status: number, body: string): ReachReply => ({ status, type: 'html', body });

/** All routes, as plain handlers. */
export function reachRoutes(reach: Reach): ReachRoute[] {
  return [...viewRoutes(reach), ...answerRoutes(reach), ...pushRoutes(reach)];
}

function viewRoutes(reach: Reach): ReachRoute[] {
  return [
    {
      method: 'GET',
      path: '/api/reach',
      needs: 'nothing',
      accepts: 'nothing',
      handle: () => json(reach.view()),
    },
    {
      method: 'POST',
      path: '/api/reach/test',
      needs: 'pairing',
      accepts: 'json',
      handle: ({ body }) => json(startTest(reach, read(testBodySchema, body))),
    },
    {
      method: 'POST',
      path: '/api/reach/sounder/silence',
      needs: 'pairing',
      accepts: 'json',
      handle({ who }) {
        const untilMs = reach.silence(who);
        if (untilMs === null) throw new BathkeeperError('alarm-unknown', 'Nothing rings.');
        return json({ untilMs });
      },
    },
    {
      method: 'POST',
      path: '/api/reach/sounder/test',
      needs: 'pairing',
      accepts: 'json',
      handle() {
        if (!reach.testSounder()) throw new BathkeeperError('not-found', 'This rig has no sounder.');
        return json({ sounds: true });
      },
    },
  ];
}

function startTest(reach: Reach, { personId, channelId }: { personId: string; channelId: string | null }) {
  const started = reach.test(personId, channelId);
  if (!started.ok) throw new BathkeeperError('not-found', 'There is no such person or channel.');
  if (started.channels.length === 0) {
    throw new BathkeeperError('too-many-requests', 'A test went out there less than a minute ago.');
  }
  return { channels: started.channels, tooSoon: started.tooSoon };
}

const UNKNOWN = 'No test waits for that code: it was used, is older than 24 h, or was mistyped.';

function answerRoutes(reach: Reach): ReachRoute[] {
  return [
    {
      method: 'POST',
      path: '/api/reach/answer',
      needs: 'nothing',
      accepts: 'json',
      handle({ body }) {
        const end = reach.answer(read(answerBodySchema, body).code);
        if (end.ok) return json(end.proof);
        throw end.why === 'too-many'
          ? new BathkeeperError('too-many-requests', 'Too many wrong codes were tried.')
          : new BathkeeperError('not-found', UNKNOWN);
      },
    },
    {
      method: 'GET',
      path: '/reach/answer',
      needs: 'nothing',
      accepts: 'nothing',
      // Looking answers nothing: programs that open the links of a mail must not count as a person.
      handle: ({ query }) => html(200, answerForm(typeof query.code === 'string' ? query.code : '')),
    },
    {
      method: 'POST',
      path: '/reach/answer',
      needs: 'nothing',
      accepts: 'form',
      handle({ body }) {
        const code = new URLSearchParams(typeof body === 'string' ? body : '').get('code') ?? '';
        const end = reach.answer(code.slice(0, 40));
        if (end.ok) return html(200, answerThanks(end.proof));
        return end.why === 'too-many'
          ? html(429, answerRefused('Too many wrong codes were tried. Wait a minute.'))
          : html(404, answerRefused(UNKNOWN));
      },
    },
  ];
}

function pushRoutes(reach: Reach): ReachRoute[] {
  return [
    {
      method: 'GET',
      path: '/api/reach/push',
      needs: 'nothing',
      accepts: 'nothing',
      handle: (request) => json(pushOffer(reach, request)),
    },
    {
      method: 'POST',
      path: '/api/reach/push/subscribe',
      needs: 'pairing',
      accepts: 'json',
      handle(request) {
        const { why } = pushOffer(reach, request);
        if (why !== null) throw new BathkeeperError('bad-request', why);
        const { personId, subscription } = read(subscribeBodySchema, request.body);
        const fault = reach.subscribe(personId, subscription);
        if (fault !== null)
          throw new BathkeeperError('bad-request', `The subscription was not taken: ${fault}.`);
        return json({ subscribed: true });
      },
    },
    {
      method: 'POST',
      path: '/api/reach/push/unsubscribe',
      needs: 'nothing',
      accepts: 'json',
      // Whoever knows an endpoint is that phone: the address is unguessable, and nobody else gets to see it.
      handle: ({ body }) =>
        json({ unsubscribed: reach.unsubscribe(read(unsubscribeBodySchema, body).endpoint) }),
    },
  ];
}

/** The key to subscribe with, or why notifications are not offered on this page. */
function pushOffer(
  reach: Reach,
  { protocol, hostname }: Pick<ReachRequest, 'protocol' | 'hostname'>,
): { publicKey: string | null; why: string | null } {
  const publicKey = reach.pushKey();
  if (publicKey === null) return { publicKey, why: 'Notifications are not configured (reach.push).' };
  const why = pushFault(protocol, hostname);
  return { publicKey: why === null ? publicKey : null, why };
}

function read<T>(schema: z.ZodType<T>, body: unknown): T {
  const parsed = schema.safeParse(body);
  if (parsed.success) return parsed.data;
  throw new BathkeeperError('bad-request', `${issueLines(parsed.error).join('; ')}.`);
}

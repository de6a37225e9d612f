import { createHash } from 'node:crypto';
import webPush from 'web-push';
import type { Message, PushPayload } from '../../../shared/wire/reach-view.ts';
import type { PushDesk, Subscription } from '../push-desk.ts';
import type { Outcome } from '../work.ts';
import { type Edge, type EdgeMeans, guarded, refused, unusable } from './edge.ts';
import { httpPost, outcomeOf, type PostEnd } from './http-post.ts';

/** How long a push service keeps what it cannot hand over (RFC 8030, section 5.2). */
const KEEP_S = 4 * 3600;
/** Beyond this a push service may refuse (RFC 8030, section 7.2: 4096 bytes with the encryption). */
const BODY_MOST = 1500;

/** Notifies the phones of one person by Web Push: RFC 8030, encrypted by RFC 8291, signed by RFC 8292. */
export function pushEdge(desk: PushDesk, personId: string, contact: string, means: EdgeMeans): Edge {
  return {
    send: (message, signal) =>
      guarded(async () => {
        const phones = desk.of(personId);
        if (phones.length === 0) return unusable(NO_PHONE);
        const ca = await means.ca();
        const ends = await Promise.all(
          phones.map(async (phone) => {
            const end = await sendOne(desk, phone, contact, message, { ...means, ca, signal });
            // RFC 8030, section 7.3: that subscription is over and never comes back.
            if (end.status === 404 || end.status === 410) desk.forget(phone.endpoint);
            return outcomeOf(end, 'the push service');
          }),
        );
        return together(ends);
      }),
    check: async () =>
      desk.of(personId).length === 0
        ? unusable(NO_PHONE)
        : { ok: true, detail: `${desk.of(personId).length} phone(s) subscribed` },
  };
}

const NO_PHONE = 'no phone has subscribed to notifications: open the page on the phone and switch them on';

/** One phone that took it is enough; else the first that may yet take it decides. */
function together(outcomes: readonly Outcome[]): Outcome {
  const taken = outcomes.filter((one) => one.ok).length;
  if (taken > 0)
    return { ok: true, detail: `the push service took it for ${taken} of ${outcomes.length} phone(s)` };
  return outcomes.find((one) => !one.ok && !one.permanent) ?? outcomes[0] ?? refused('no phone', true);
}

async function sendOne(
  desk: PushDesk,
  phone: Subscription,
  contact: string,
  message: Message,
  how: { timeoutMs: number; ca: readonly string[] | null; signal: AbortSignal },
): Promise<PostEnd> {
  const { endpoint, keys } = phone;
  const details = webPush.generateRequestDetails({ endpoint, keys }, JSON.stringify(payloadOf(message)), {
    vapidDetails: { subject: contact, ...desk.keys },
    TTL: KEEP_S,
    urgency: message.kind === 'alarm' && message.priority === 'low' ? 'normal' : 'high',
    topic: topicOf(message),
    contentEncoding: 'aes128gcm',
  });
  const headers = Object.entries(details.headers).filter(([name]) => !/^content-length$/i.test(name));
  return httpPost({
    url: new URL(details.endpoint),
    headers: Object.fromEntries(headers.map(([name, value]) => [name, String(value)])),
    body: details.body ?? '',
    who: 'the push service',
    ...how,
  });
}

/** What one topic holds, a push service replaces while the phone is away: the same alarms, said again. */
function topicOf(message: Message): string {
  const about =
    message.kind === 'test' ? [message.key] : message.alarms.map((one) => `${one.alarmId}@${one.since}`);
  return createHash('sha256')
    .update(JSON.stringify([message.kind, ...about]))
    .digest('base64url')
    .slice(0, 32);
}

/** The short form of a message that fits into a notification. */
export function payloadOf(message: Message): PushPayload {
  const [first] = message.alarms;
  const body = first
    ? message.alarms.map((alarm) => `${alarm.title}: ${alarm.detail} ${alarm.action}`).join('\n')
    : message.text;
  return {
    kind: message.kind,
    priority: message.priority,
    title: message.subject.slice(0, 120),
    body: body.slice(0, BODY_MOST),
    tag: first ? `alarm-${first.alarmId}` : message.kind,
    link: message.link,
    code: message.code,
  };
}

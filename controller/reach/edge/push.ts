import { createHash } from 'node:crypto';
import webPush from 'web-push';
import type { Message, PushPayload } from '../../../shared/wire/reach-view.ts';
import type { PushDesk, Subscription } from '../push-desk.ts';
import type { Outcome } from '../work.ts';
import { type Edge, type EdgeMeans, guarded, refused, unusable } from './edge.ts';
import { httpPost, outcomeOf, type PostOptions } from './http-post.ts';

/** How long a push service keeps what it cannot hand over (RFC 8030, section 5.2). */
const KEEP_S = 4 * 3600;
/** Bytes of a payload; with the encryption a push service must take 4096 (RFC 8291, section 4: 3993 without). */
const PAYLOAD_MOST_BYTES = 3800;
const WHO = 'the push service';

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
            const post = requestFor(desk, phone, contact, message);
            const end =
              post &&
              (await httpPost({ ...post, timeoutMs: means.timeoutMs, mayCall: means.mayPushTo, ca, signal }));
            // RFC 8030, section 7.3: that subscription is over and never comes back. Nor do keys that are none.
            if (!end || end.status === 404 || end.status === 410) desk.forget(phone.endpoint);
            return end ? outcomeOf(end, WHO) : refused('the keys of a phone are not usable', true);
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

/** The encrypted and signed request for one phone; null where its keys are no keys. */
function requestFor(
  desk: PushDesk,
  { endpoint, keys }: Subscription,
  contact: string,
  message: Message,
): Pick<PostOptions, 'url' | 'headers' | 'body' | 'who'> | null {
  const payload = JSON.stringify(payloadOf(message));
  const subject = { subject: contact, ...desk.keys };
  try {
    const details = webPush.generateRequestDetails({ endpoint, keys }, payload, {
      vapidDetails: subject,
      TTL: KEEP_S,
      urgency:
        message.priority === 'low' && (message.kind === 'alarm' || message.kind === 'reminder')
          ? 'normal'
          : 'high',
      topic: topicOf(message),
      contentEncoding: 'aes128gcm',
    });
    const headers = Object.entries(details.headers).filter(([name]) => !/^content-length$/i.test(name));
    return {
      url: new URL(details.endpoint),
      headers: Object.fromEntries(headers.map(([name, value]) => [name, String(value)])),
      body: details.body ?? '',
      who: WHO,
    };
  } catch {
    return null;
  }
}

/** What one topic holds, a push service replaces while the phone is away: the same alarms, said again. */
function topicOf(message: Message): string {
  const about =
    message.kind === 'test' || message.kind === 'reminder'
      ? [message.key]
      : message.alarms.map((one) => `${one.alarmId}@${one.since}`);
  return createHash('sha256')
    .update(JSON.stringify([message.kind, ...about]))
    .digest('base64url')
    .slice(0, 32);
}

/** The short form of a message: what a notification shows, cut to what a push service takes. */
export function payloadOf(message: Message): PushPayload {
  const [first] = message.alarms;
  const body = first
    ? message.alarms.map((alarm) => `${alarm.title}: ${alarm.detail} ${alarm.action}`).join('\n')
    : message.text;
  const payload: PushPayload = {
    kind: message.kind,
    priority: message.priority,
    title: cut(message.subject, 120),
    body: cut(body, 1500),
    tag: first ? `alarm-${first.alarmId}` : message.kind === 'reminder' ? message.key : message.kind,
    link: message.link,
    code: message.code,
  };
  for (
    let most = 1000;
    Buffer.byteLength(JSON.stringify(payload)) > PAYLOAD_MOST_BYTES && most > 0;
    most -= 200
  ) {
    payload.body = cut(body, most);
  }
  return payload;
}

/** The first characters of a text, none of them halved. */
const cut = (text: string, most: number): string => Array.from(text).slice(0, most).join('');

import webPush from 'web-push';
import { z } from 'zod';
import { type PushSubscriptionJson, pushSubscriptionSchema } from '../../shared/wire/reach-view.ts';

/** Phones of one person; the longest subscribed makes room. */
const PHONES_PER_PERSON = 8;
const PHONES_MOST = 64;

const subscriptionSchema = pushSubscriptionSchema
  .omit({ expirationTime: true })
  .extend({ personId: z.string(), sinceWallMs: z.number() });
export type Subscription = z.infer<typeof subscriptionSchema>;

const keptSchema = z.object({
  version: z.literal(1),
  publicKey: z.string(),
  privateKey: z.string(),
  subscriptions: z.array(subscriptionSchema),
});
type Kept = z.infer<typeof keptSchema>;

/** The keys of this controller towards push services (VAPID, RFC 8292), and the phones that subscribed. */
export interface PushDesk {
  readonly keys: { readonly publicKey: string; readonly privateKey: string };
  of(personId: string): readonly Subscription[];
  /** The same phone again replaces itself. */
  subscribe(personId: string, subscription: PushSubscriptionJson, wallMs: number): void;
  /** Gives whether there was such a subscription. */
  forget(endpoint: string): boolean;
  /** What to keep, as text. */
  text(): string;
}

/**
 * Opens the desk from what was kept; makes new keys where nothing was. New keys void all subscriptions, so they are
 * made once. Gives null where the text is not of this form.
 */
export function openPushDesk(kept: string | null, onChange: () => void): PushDesk | null {
  const found = kept === null ? freshKeys() : parse(kept);
  if (found === null) return null;
  let { subscriptions } = found;
  const { publicKey, privateKey } = found;
  const set = (next: Subscription[]): void => {
    subscriptions = next;
    onChange();
  };
  return {
    keys: { publicKey, privateKey },
    of: (personId) => subscriptions.filter((one) => one.personId === personId),
    subscribe(personId, { endpoint, keys }, wallMs) {
      const others = subscriptions.filter((one) => one.endpoint !== endpoint);
      const own = others.filter((one) => one.personId === personId).slice(1 - PHONES_PER_PERSON);
      const rest = others.filter((one) => one.personId !== personId);
      set([...rest, ...own, { personId, endpoint, keys, sinceWallMs: wallMs }].slice(-PHONES_MOST));
    },
    forget(endpoint) {
      const next = subscriptions.filter((one) => one.endpoint !== endpoint);
      const found = next.length < subscriptions.length;
      if (found) set(next);
      return found;
    },
    text: () => JSON.stringify({ version: 1, publicKey, privateKey, subscriptions } satisfies Kept),
  };
}

function freshKeys(): Kept {
  return { version: 1, ...webPush.generateVAPIDKeys(), subscriptions: [] };
}

function parse(text: string): Kept | null {
  try {
    const parsed = keptSchema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

/**
 * Why an endpoint may not be used, or null. Push services are public; an address in the house given as one would make
 * the controller knock at its neighbours' doors.
 */
export function endpointFault(endpoint: string): string | null {
  const { protocol, hostname } = new URL(endpoint);
  if (protocol !== 'https:') return 'expected an https address';
  const isName = /[a-z]/i.test(hostname) && hostname.includes('.') && !hostname.startsWith('[');
  if (!isName || /\.(local|localhost|internal|lan|home\.arpa)\.?$/i.test(hostname)) {
    return 'expected the address of a public push service';
  }
  return null;
}

/** Why notifications cannot be offered on a page at that address, or null where they can: Push API, secure contexts. */
export function pushFault(protocol: string, hostname: string): string | null {
  const isLocal = /^(localhost|.*\.localhost|127(\.\d+){3}|\[?::1\]?)$/i.test(hostname);
  if (protocol === 'https' || isLocal) return null;
  return 'Notifications need the page on https (behind a proxy), or on the controller itself at localhost.';
}

import { ask, type Outcome, post, type Trouble } from '../../command/send.ts';

const WORKER = '/push-worker.js';

/** Why this browser on this page cannot take notifications; null where it may be able to. */
export function whyNoPush(): string | null {
  if (!window.isSecureContext) {
    return 'This page is on plain http. Browsers allow notifications only on https, or on the controller itself under the name localhost. Use another way: mail, a webhook, or this page left open with its sound on.';
  }
  if (!('serviceWorker' in navigator) || !('PushManager' in window) || !('Notification' in window)) {
    return 'This browser has no notifications for pages. On an iPhone or iPad, put this page on the home screen first and open it from there.';
  }
  return null;
}

interface Offer {
  readonly publicKey: string | null;
  readonly why: string | null;
}

/** The key to subscribe with, or the controller's word why it offers none. */
export async function pushOffer(): Promise<Offer> {
  const outcome = await ask('GET', '/api/reach/push');
  if (!outcome.ok) return { publicKey: null, why: outcome.trouble.cause };
  const { publicKey = null, why = null } = (outcome.answer ?? {}) as Partial<Offer>;
  return { publicKey, why };
}

/** The endpoint this browser is subscribed under; null where it is not. */
export async function currentEndpoint(): Promise<string | null> {
  const registration = await navigator.serviceWorker.getRegistration(WORKER).catch(() => undefined);
  const subscription = await registration?.pushManager.getSubscription().catch(() => null);
  return subscription?.endpoint ?? null;
}

type Subscribed = { readonly endpoint: string } | { readonly why?: string; readonly trouble?: Trouble };

/** Subscribes this browser and hands the subscription to the controller; every way to fail comes back in words. */
export async function subscribe(personId: string, publicKey: string): Promise<Subscribed> {
  const permission = await Notification.requestPermission();
  if (permission !== 'granted') {
    return { why: 'Notifications are forbidden for this page: allow them in the settings of the browser.' };
  }
  let subscription: PushSubscription;
  try {
    await navigator.serviceWorker.register(WORKER);
    const registration = await navigator.serviceWorker.ready;
    subscription = await registration.pushManager.subscribe({
      userVisibleOnly: true,
      applicationServerKey: bytesOf(publicKey),
    });
  } catch (error) {
    return {
      why: `The browser’s push service gave no subscription (${nameOf(error)}). It needs the internet.`,
    };
  }
  const outcome = await post('/api/reach/push/subscribe', { personId, subscription: subscription.toJSON() });
  if (outcome.ok) return { endpoint: subscription.endpoint };
  // The controller must know of it, or the phone would believe in calls that never come.
  await subscription.unsubscribe().catch(() => false);
  return { trouble: outcome.trouble };
}

/** Ends the subscription, first at the controller, then in the browser. */
export async function unsubscribe(endpoint: string): Promise<Outcome> {
  const outcome = await post('/api/reach/push/unsubscribe', { endpoint });
  if (!outcome.ok) return outcome;
  const registration = await navigator.serviceWorker.getRegistration(WORKER);
  await (await registration?.pushManager.getSubscription())?.unsubscribe().catch(() => false);
  return { ok: true };
}

const nameOf = (error: unknown): string => (error instanceof Error ? error.name : 'no reason given');

/** Bytes of base64url (RFC 4648 section 5). */
function bytesOf(text: string): Uint8Array<ArrayBuffer> {
  const plain = atob(text.replace(/-/g, '+').replace(/_/g, '/'));
  return Uint8Array.from(plain, (char) => char.charCodeAt(0));
}

/*
 * Shows what the controller sends by Web Push, also while no page is open. It keeps nothing and fetches nothing: the
 * page is always the controller's own, never an old copy.
 */

/** What is shown where a message cannot be read: a browser must show something for each push. */
const UNREADABLE = {
  priority: 'high',
  title: 'Look at the bath',
  body: 'A message came that this phone could not read. Open the page of the controller.',
  tag: 'unreadable',
  link: null,
  code: null,
};

function payloadOf(data) {
  try {
    const payload = data.json();
    return typeof payload.title === 'string' && typeof payload.body === 'string' ? payload : UNREADABLE;
  } catch {
    return UNREADABLE;
  }
}

/** Where a touch on the notification leads: to this controller under the name this phone knows, whatever the message says. */
function targetOf(link) {
  const { origin } = self.location;
  try {
    const { pathname, search } = new URL(link ?? '/', origin);
    return `${origin}${pathname}${search}`;
  } catch {
    return `${origin}/`;
  }
}

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('push', (event) => {
  const { title, body, tag, priority, link } = payloadOf(event.data);
  const options = {
    body,
    tag,
    // One of the same tag replaces the last and rings again: escalation must be heard.
    renotify: true,
    requireInteraction: priority === 'high',
    icon: '/bath.svg',
    data: { target: targetOf(link) },
  };
  event.waitUntil(self.registration.showNotification(title, options));
});

self.addEventListener('notificationclick', (event) => {
  event.notification.close();
  const { target } = event.notification.data;
  event.waitUntil(
    self.clients.matchAll({ type: 'window', includeUncontrolled: true }).then((pages) => {
      const open = pages.find((page) => page.url === target);
      return open ? open.focus() : self.clients.openWindow(target);
    }),
  );
});

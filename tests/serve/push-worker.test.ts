import { readFileSync } from 'node:fs';
import { createContext, runInContext } from 'node:vm';
import { describe, expect, it } from 'vitest';
import { pushPayloadSchema } from '../../shared/wire/reach-view.ts';

interface Shown {
  readonly title: string;
  readonly options: {
    body: string;
    tag: string;
    renotify: boolean;
    requireInteraction: boolean;
    data: { target: string };
  };
}

/** The worker as a browser runs it (Service Workers, Push API, Notifications), with the browser in the test's hand. */
function worker() {
  const handlers = new Map<string, (event: unknown) => void>();
  const shown: Shown[] = [];
  const opened: string[] = [];
  const self = {
    location: { origin: 'https://hut.example' },
    addEventListener: (kind: string, handler: (event: unknown) => void) => handlers.set(kind, handler),
    skipWaiting: () => Promise.resolve(),
    registration: {
      showNotification: async (title: string, options: Shown['options']) =>
        void shown.push({ title, options }),
    },
    clients: {
      claim: async () => undefined,
      matchAll: async () => [],
      openWindow: async (url: string) => void opened.push(url),
    },
  };
  runInContext(readFileSync('monitor/public/push-worker.js', 'utf8'), createContext({ self, URL }));
  const fire = async (kind: string, event: object): Promise<void> => {
    const waits: Promise<unknown>[] = [];
    handlers.get(kind)?.({ ...event, waitUntil: (wait: Promise<unknown>) => waits.push(wait) });
    await Promise.all(waits);
  };
  return { fire, shown, opened, handlers };
}

const PAYLOAD = pushPayloadSchema.parse({
  kind: 'alarm',
  priority: 'high',
  title: 'HIGH: Water probe lost',
  body: 'Measure the water by hand.',
  tag: 'abc',
  link: 'http://192.168.1.20:8410/reach/answer?code=ABCD',
  code: null,
});

describe('the worker that shows notifications', () => {
  it('shows what the controller sends, keeps high priority on the screen, and rings anew for the same tag', async () => {
    const { fire, shown } = worker();
    await fire('push', { data: { json: () => PAYLOAD } });
    expect(shown).toHaveLength(1);
    expect(shown[0]).toMatchObject({
      title: PAYLOAD.title,
      options: { body: PAYLOAD.body, tag: 'abc', renotify: true, requireInteraction: true },
    });
    await fire('push', { data: { json: () => ({ ...PAYLOAD, priority: 'low' }) } });
    expect(shown[1]?.options.requireInteraction).toBe(false);
  });

  it('shows a call to look where a message cannot be read: a push that shows nothing is taken from a page', async () => {
    const broken = [
      { data: null },
      {
        data: {
          json: () => {
            throw new SyntaxError('not JSON');
          },
        },
      },
      { data: { json: () => ({ title: 3 }) } },
    ];
    for (const event of broken) {
      const { fire, shown } = worker();
      await fire('push', event);
      expect(shown[0]?.title).toBe('Look at the bath');
    }
  });

  it('leads to this controller alone, under the name that this phone knows it by', async () => {
    const { fire, shown, opened } = worker();
    await fire('push', { data: { json: () => PAYLOAD } });
    const { data } = shown[0]?.options ?? { data: { target: '' } };
    expect(data.target).toBe('https://hut.example/reach/answer?code=ABCD');
    await fire('notificationclick', { notification: { data, close: () => undefined } });
    expect(opened).toEqual(['https://hut.example/reach/answer?code=ABCD']);
  });

  it('answers no request of the page: what is shown is never an old copy', () => {
    expect([...worker().handlers.keys()].toSorted()).toEqual([
      'activate',
      'install',
      'notificationclick',
      'push',
    ]);
  });
});

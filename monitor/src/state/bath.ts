import { computed, signal } from '@preact/signals';
import type { EventRow } from '../../../shared/wire/rows.ts';
import type { BagView, Installation, Status } from '../../../shared/wire/status.ts';
import { History } from '../series/history.ts';
import { pageNow } from '../stream/browser-world.ts';
import { type Link, SILENCE_MS, type StreamSink } from '../stream/client.ts';
import { type ReadingView, readingView } from '../words/reading.ts';

const EVENTS_KEPT = 200;

/** Page time in milliseconds, moved on twice a second; every age on the page is read from it. */
export const nowMs = signal(pageNow());
export const link = signal<Link>({ state: 'opening', heardAtMs: null, nextTryAtMs: null, fault: null });
export const installation = signal<Installation | null>(null);
export const paired = signal(false);
export const status = signal<Status | null>(null);
/** Page time at which the status came. */
export const statusAtMs = signal(0);
export const events = signal<readonly EventRow[]>([]);
export const history = new History();
/** Goes up whenever the history has changed. */
export const historyVersion = signal(0);

/** `live`: data flows. `unsure`: the link just broke. `lost`: nothing for 5 s. `new`: not yet connected at all. */
export type Contact = 'new' | 'live' | 'unsure' | 'lost';

export const contact = computed<Contact>(() => {
  const { state, heardAtMs } = link.value;
  if (heardAtMs === null) return nowMs.value < SILENCE_MS && state !== 'waiting' ? 'new' : 'lost';
  if (nowMs.value - heardAtMs > SILENCE_MS) return 'lost';
  return state === 'live' ? 'live' : 'unsure';
});

export const reading = computed<ReadingView | null>(() => {
  const now = status.value;
  if (!now) return null;
  return readingView(now.bath, nowMs.value - statusAtMs.value, contact.value !== 'lost');
});

/** The controller's wall clock at this moment, as far as this page can tell; null before the first status. */
export const controllerMs = computed<number | null>(() => {
  const now = status.value;
  if (!now) return null;
  return now.wallMs + Math.max(0, nowMs.value - statusAtMs.value) * (installation.value?.speed ?? 1);
});

export const bagsIn = computed<readonly BagView[]>(
  () => status.value?.bags.filter((bag) => bag.outAtMs === null) ?? [],
);
export const bagsOut = computed<readonly BagView[]>(
  () => status.value?.bags.filter((bag) => bag.outAtMs !== null) ?? [],
);

/** How far the normal band reaches under and over the setpoint, in kelvin; null where there is none now. */
export const bandReach = computed<{ underC: number; overC: number } | null>(() => {
  const { setpointC, bandC } = status.value ?? { setpointC: null, bandC: null };
  if (setpointC === null || bandC === null) return null;
  return { underC: setpointC - bandC.lowC, overC: bandC.highC - setpointC };
});

/** Whether the water is where the forecasts suppose it to stay. */
export const bathSteady = computed(() => {
  const { bath, bandC, heat } = status.value ?? {};
  if (!bath || !bandC || heat?.stopped) return false;
  return bath.quality === 'good' && bath.celsius !== null && bath.celsius >= bandC.lowC;
});

const pickedBag = signal<string | null>(null);
/** The bag whose core the chart draws: the one touched while it is in, else the first in the bath, else the last out. */
export const chosenBagId = computed<string | null>(() => {
  const inside = bagsIn.value;
  if (inside.some((bag) => bag.bagId === pickedBag.value)) return pickedBag.value;
  return inside[0]?.bagId ?? bagsOut.value.at(-1)?.bagId ?? null;
});

export function chooseBag(bagId: string): void {
  pickedBag.value = bagId;
}

export const cookRunning = computed(() => {
  const cook = status.value?.cook;
  return cook !== undefined && cook !== null && cook.endedAtMs === null;
});

function takeEvents(rows: readonly EventRow[]): void {
  if (rows.length === 0) return;
  const held = new Set(events.value.map(eventKey));
  const fresh = rows.filter((row) => !held.has(eventKey(row)));
  if (fresh.length === 0) return;
  events.value = [...events.value, ...fresh].sort((a, b) => a.sequence - b.sequence).slice(-EVENTS_KEPT);
}

function eventKey(row: EventRow): string {
  return `${row.sequence}/${row.kind}/${row.text}`;
}

/** Where the stream's messages go. */
export const sink: StreamSink = {
  hello(message) {
    installation.value = message.installation;
    paired.value = message.paired;
  },
  backfill(message) {
    if (message.reset) {
      history.clear();
      events.value = [];
    }
    history.take(message.tiers, message.samples);
    takeEvents(message.events);
    historyVersion.value++;
  },
  live(message) {
    history.take([], message.samples);
    takeEvents(message.events);
    nowMs.value = pageNow();
    statusAtMs.value = nowMs.value;
    status.value = message.status;
    historyVersion.value++;
  },
  paired(value) {
    paired.value = value;
  },
  link(value) {
    nowMs.value = pageNow();
    link.value = value;
  },
  lastSequence: () => history.lastSequence,
};

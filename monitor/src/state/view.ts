import { signal } from '@preact/signals';

export const VIEWS = [
  'watch',
  'start',
  'setpoint',
  'bag-in',
  'bag-edit',
  'bag-out',
  'fork-test',
  'bag-lies',
  'core-reading',
  'end-chill',
  'cold-spot',
  'allow-heat',
  'end-cook',
  'attendance',
  'topped-up',
  'cannot-see',
  'alarm-list',
  'shelve',
  'reach',
  'pair',
  'past',
  'cautions',
  'how',
  'plan',
  'plan-start',
  'phone',
  'plant',
] as const;
export type ViewName = (typeof VIEWS)[number];

export interface View {
  readonly name: ViewName;
  /** The id of the bag, the plan or the alarm that the view is about. */
  readonly bagId: string | null;
}

function read(): View {
  const [name, bagId] = location.hash.slice(1).split('/');
  const found = VIEWS.find((known) => known === name);
  return { name: found ?? 'watch', bagId: bagId ? decodeURIComponent(bagId) : null };
}

export const view = signal<View>(read());

/** Shows a view; the phone's own Back returns from it. */
export function go(name: ViewName, bagId: string | null = null): void {
  const hash = name === 'watch' ? '' : `#${name}${bagId ? `/${encodeURIComponent(bagId)}` : ''}`;
  if (hash !== location.hash) history.pushState(null, '', `${location.pathname}${location.search}${hash}`);
  view.value = { name, bagId };
  scrollTo(0, 0);
}

addEventListener('popstate', () => {
  view.value = read();
});

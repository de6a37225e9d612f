import type { ReachClock } from './clock.ts';
import { afterRestart } from './plan.ts';
import { openPushDesk, type PushDesk } from './push-desk.ts';
import { emptyState, parseState, type ReachState } from './state.ts';
import type { KeptName, ReachStore } from './store.ts';
import type { Parts } from './work.ts';

type Log = (line: string) => void;

/** What was kept, or null; what cannot be read or understood is put aside and told. */
async function loadKept<T>(
  store: ReachStore,
  name: KeptName,
  parse: (text: string) => T | null,
  log: Log,
): Promise<T | null> {
  let why = 'is damaged';
  try {
    const text = await store.load(name);
    if (text === null) return null;
    const parsed = parse(text);
    if (parsed !== null) return parsed;
  } catch (error) {
    why = `cannot be read (${(error as { code?: string }).code ?? 'no code'})`;
  }
  // What cannot be read now may be read by somebody later: it is never written over.
  const aside = await store.setAside(name).catch(() => 'nowhere: it could not be renamed');
  log(`reach: what was kept as "${name}" ${why}. It was put aside as ${aside}; a new one is begun.`);
  return null;
}

/** How far the calling had got. `kept` is null where nothing was. */
export async function openKept(
  store: ReachStore,
  parts: Parts,
  clock: Pick<ReachClock, 'wallMs' | 'wallTrusted'>,
  log: Log,
): Promise<{ state: ReachState; kept: ReachState | null }> {
  const kept = await loadKept(store, 'plan', parseState, log);
  if (kept === null) return { kept, state: emptyState(clock.wallMs()) };
  return { kept, state: afterRestart(kept, parts, clock.wallTrusted()) };
}

/** Keys and phones. Where they were damaged new keys are made, and every phone must subscribe again. */
export async function openDesk(store: ReachStore, onChange: () => void, log: Log): Promise<PushDesk> {
  const kept = await loadKept(store, 'push', (text) => openPushDesk(text, onChange), log);
  if (kept !== null) return kept;
  const fresh = openPushDesk(null, onChange);
  if (fresh === null) throw new Error('no keys for push could be made');
  return fresh;
}

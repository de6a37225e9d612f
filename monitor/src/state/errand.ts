import { signal } from '@preact/signals';
import { newId, type Order, type Outcome, post, sendCommand, type Trouble } from '../command/send.ts';
import { paired } from './bath.ts';
import { go, type ViewName, view } from './view.ts';

/** A command on its way, with where it was given and what to say once it is done. */
export interface Errand {
  /** Null where `send` does something that is no command of the tick. */
  readonly order: Order | null;
  /** What is sent instead of a plain command. */
  readonly send?: () => Promise<Outcome>;
  /** Where to go once it is done; to the watch where nothing is said. */
  readonly to?: { readonly name: ViewName; readonly id: string | null };
  readonly from: ViewName;
  readonly bagId?: string | null;
  readonly done: string;
  /** True: the view stays where it is. */
  readonly stay?: boolean;
  /** Called once the controller has accepted it. */
  readonly after?: () => void;
}

export const busy = signal(false);
/** What was refused, and the view it belongs to. */
export const trouble = signal<{ view: ViewName; trouble: Trouble; order: Order | null } | null>(null);
/** A short word that something was done. */
export const notice = signal<string | null>(null);
/** The errand that waits for this phone to be paired. */
export const waiting = signal<Errand | null>(null);

/** Forgets what was refused, because what it was about has changed. */
export function dismissTrouble(): void {
  trouble.value = null;
}

let noticeTimer: ReturnType<typeof setTimeout> | undefined;

export function say(text: string): void {
  notice.value = text;
  clearTimeout(noticeTimer);
  noticeTimer = setTimeout(() => {
    notice.value = null;
  }, 6000);
}

/** A command whose answer did not come: it may have been carried out all the same. */
let unanswered: { readonly id: string; readonly order: string; readonly atMs: number } | null = null;
/** Pressed again within this time it is the same command; later the cook means it anew. */
const SAME_MS = 120_000;
const NO_ANSWER: ReadonlySet<string> = new Set(['no-connection', 'not-answering']);

/** Sends a command; one whose answer was lost goes out under its old id, so that it counts once. */
async function sendOnce(order: Order): Promise<Outcome> {
  const text = JSON.stringify(order);
  const again =
    unanswered !== null && unanswered.order === text && performance.now() - unanswered.atMs < SAME_MS;
  const id = again && unanswered !== null ? unanswered.id : newId('cmd');
  const outcome = await sendCommand(id, order);
  const lost = !outcome.ok && NO_ANSWER.has(outcome.trouble.code);
  unanswered = lost ? { id, order: text, atMs: performance.now() } : null;
  return outcome;
}

/** Gives a command. An unpaired phone is led to the pairing view and the command goes on from there. */
export async function run(errand: Errand): Promise<void> {
  busy.value = true;
  trouble.value = null;
  const outcome = errand.order ? await sendOnce(errand.order) : await errand.send?.();
  busy.value = false;
  if (!outcome) return;
  if (outcome.ok) {
    errand.after?.();
    say(errand.done);
    if (errand.to) go(errand.to.name, errand.to.id);
    else if (!errand.stay || view.value.name === 'pair') go('watch');
    return;
  }
  if (outcome.trouble.code === 'not-paired') {
    paired.value = false;
    waiting.value = errand;
    go('pair');
    return;
  }
  trouble.value = { view: errand.from, trouble: outcome.trouble, order: errand.order };
  if (!errand.stay || view.value.name === 'pair') go(errand.from, errand.bagId ?? null);
}

/** Pairs this phone; on success the waiting command goes on. Gives the outcome for the form. */
export async function pair(code: string, name: string): Promise<Outcome> {
  busy.value = true;
  const outcome = await post('/api/pair', { code, name });
  busy.value = false;
  if (!outcome.ok) return outcome;
  paired.value = true;
  say('This phone is paired.');
  const errand = waiting.value;
  waiting.value = null;
  if (errand) await run(errand);
  else go('watch');
  return outcome;
}

/** Forgets this phone on the controller. */
export async function unpair(): Promise<void> {
  const outcome = await post('/api/unpair', {});
  if (!outcome.ok) return;
  paired.value = false;
  say('This phone is no longer paired.');
}

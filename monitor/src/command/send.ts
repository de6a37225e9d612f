import type { CommandInput, CommandKind } from '../../../shared/wire/command.ts';
import { ERRORS, type ErrorCode } from '../../../shared/wire/errors.ts';

/** A refusal or failure as the page shows it. */
export interface Trouble {
  readonly code: string;
  readonly cause: string;
  readonly action: string;
  readonly detail: string;
}

export type Outcome = { ok: true } | { ok: false; trouble: Trouble };

type Without<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;
/** A command before the page numbers it and the server names the sender. */
export type Order = Without<CommandInput, 'id' | 'by'>;
export type OrderOf<K extends CommandKind> = Extract<Order, { kind: K }>;

export const NO_CONNECTION: Trouble = {
  code: 'no-connection',
  cause: 'The controller did not answer.',
  action: 'Check the Wi-Fi and try again. If the bath must stop now, switch it off at the plug.',
  detail: '',
};

const ANSWER_WITHIN_MS = 10_000;

/** An id no other phone will draw; `randomUUID` is not there on plain http. */
export function newId(prefix: string): string {
  const bytes = crypto.getRandomValues(new Uint8Array(9));
  return `${prefix}-${Array.from(bytes, (byte) => byte.toString(36).padStart(2, '0')).join('')}`;
}

/** Sends JSON to the controller. Every way to fail comes back as a trouble with cause and action; never throws. */
export function post(path: string, body: unknown): Promise<Outcome & { answer?: unknown }> {
  return ask('POST', path, body);
}

/** Asks the controller for JSON; with a body where there is one to send. Never throws. */
export async function ask(
  method: 'GET' | 'POST' | 'PUT' | 'DELETE',
  path: string,
  body?: unknown,
): Promise<Outcome & { answer?: unknown }> {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), ANSWER_WITHIN_MS);
  let response: Response;
  try {
    response = await fetch(path, {
      method,
      ...(body === undefined
        ? {}
        : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
      signal: patience.signal,
    });
  } catch {
    return { ok: false, trouble: NO_CONNECTION };
  } finally {
    clearTimeout(timer);
  }
  const answer: unknown = await response.json().catch(() => null);
  if (response.ok) return { ok: true, answer };
  return { ok: false, trouble: troubleOf(answer) };
}

/** Sends one command; accepted only if the controller's tick took it and the journal kept it. */
export async function sendCommand(id: string, order: Order): Promise<Outcome> {
  const outcome = await post('/api/command', { ...order, id });
  if (!outcome.ok) return outcome;
  const result = outcome.answer as { accepted?: unknown; code?: unknown; detail?: unknown } | null;
  if (result?.accepted === true) return { ok: true };
  return {
    ok: false,
    trouble: troubleFor(String(result?.code ?? 'bad-request'), String(result?.detail ?? '')),
  };
}

/** The registry's cause and action of a code, with what was wrong here. */
export function troubleFor(code: string, detail: string): Trouble {
  const entry = ERRORS[code as ErrorCode] ?? ERRORS['bad-request'];
  return { code, cause: entry.cause, action: entry.action, detail };
}

function troubleOf(answer: unknown): Trouble {
  const body = answer as { error?: Partial<Trouble>; code?: unknown; detail?: unknown } | null;
  const error = body?.error ?? body;
  return troubleFor(String(error?.code ?? 'not-answering'), String(error?.detail ?? ''));
}

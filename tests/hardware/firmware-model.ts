/**
 * The rules of leases and switches as a machine of its own, from hardware/firmware/PROTOCOL.md sections 2 to 8: not
 * a translation of the firmware. Time is the board's millisecond. Where the page leaves a moment open (a message is
 * acted on within some ms of its arrival, EEPROM takes some ms) the machine gives every state that may be.
 */
import type { Heard } from './firmware-reader.ts';
import { CAUSE } from './firmware-wire.ts';

export const REGULATING = 1;
export const GUARD = 2;

/** All that decides what the switches do next. */
export interface State {
  /** Messages acted on. */
  done: number;
  /** Switches closed. */
  closed: number;
  /** Ms since one moved, at most 100. */
  since: number;
  /** Switches the lease in force asks for. */
  want: number;
  /** Ms at which the lease ends, and at which both must be open; 0 = none. */
  endMs: number;
  capMs: number;
  /** 0 no limits, 1 limits set, 2 read back. */
  limits: number;
  limitsMs: number;
  session: number;
  /** Latest nonce named, by order of issue. */
  spent: number;
  cause: number;
  latchedMs: number;
  /** Ms at which a clear was taken; 0 = none under way. */
  clearingMs: number;
  bucket: number;
  leakMs: number;
  corruptMs: number;
}

/** What the board has said: facts the rules refer to. */
export interface Facts {
  nonce(value: number): { order: number; issuedMs: number } | undefined;
  /** When a message had arrived, in the board's ms. */
  arrivedMs(heard: Heard): number;
  /** Whether a good reading of the bath probe came after limits arrived and before now; null = too close to say. */
  bathReadBetween(fromMs: number, toMs: number): boolean | null;
  /** The session token the board gave in its reply to a query; 0 = the reply was not heard. */
  sessionFor(query: Heard): number;
}

const OLDEST_MS = 700;
const LONGEST_MS = 2000;
const LEAD_MS = 100;
const BUCKET = 5;
const LEAK_MS = 10_000;
/** The page's times for what polls and EEPROM take, with room. */
const POLL_MS = 6;
const CLEAR_MS: readonly [number, number] = [15, 140];
const LATCH_BUSY_MS = 100;
/**
 * A message is acted on within so many ms of its last byte. Moments are kept as that of the byte, so that states which
 * differ in nothing else become one.
 */
export const ACT_MS = 5;

/** A board with limits read back and a fresh bath reading, nothing on. */
export const connectedState = (session: number, spent: number): State => ({
  done: 0,
  closed: 0,
  since: LEAD_MS,
  want: 0,
  endMs: 0,
  capMs: 0,
  limits: 2,
  limitsMs: 0,
  session,
  spent,
  cause: CAUSE.none,
  latchedMs: 0,
  clearingMs: 0,
  bucket: 0,
  leakMs: 0,
  corruptMs: 0,
});

const leaseInForce = (s: State, nowMs: number): boolean => s.endMs > nowMs && s.want !== 0;

function trip(s: State, cause: number, latchedMs: number): State {
  const moved = s.closed !== 0;
  const open = { ...s, closed: 0, since: moved ? 0 : s.since, want: 0, endMs: 0, capMs: 0, corruptMs: 0 };
  if (s.cause !== CAUSE.none && s.clearingMs === 0) return open;
  return { ...open, cause, latchedMs, clearingMs: 0 };
}

const release = (s: State): State => ({ ...s, want: 0, endMs: 0 });
const disconnect = (s: State): State => ({ ...release(s), limits: 0, session: 0 });

function tick(s: State, nowMs: number): State {
  let { closed, since, want, endMs, capMs } = s;
  if (endMs !== 0 && nowMs >= endMs) {
    endMs = 0;
    want = 0;
  }
  since = Math.min(LEAD_MS, since + 1);
  if (capMs !== 0 && nowMs >= capMs) capMs = 0;
  if (capMs === 0) {
    if (closed !== 0) since = 0;
    return { ...s, closed: 0, since, want: 0, endMs: 0, capMs };
  }
  const differs = want ^ closed;
  let next = closed;
  if (differs === 0) next = closed;
  else if (closed & REGULATING) next = closed & ~REGULATING;
  else if (since < LEAD_MS) next = closed;
  else if (differs & GUARD) next = closed ^ GUARD;
  else next = closed | REGULATING;
  if (next !== closed) since = 0;
  closed = next;
  return { ...s, closed, since, want, endMs, capMs };
}

/** A nonce is named: whether it is good, and the state after. */
function name(
  s: State,
  value: number,
  nowMs: number,
  facts: Facts,
): { state: State; issuedMs: number | null } {
  const known = facts.nonce(value);
  if (known === undefined) return { state: s, issuedMs: null };
  const state = { ...s, spent: Math.max(s.spent, known.order) };
  const good = known.order > s.spent && nowMs - known.issuedMs <= OLDEST_MS;
  return { state, issuedMs: good ? known.issuedMs : null };
}

function bathFresh(s: State, nowMs: number, facts: Facts): boolean[] {
  if (s.limitsMs === 0) return [true];
  const read = facts.bathReadBetween(s.limitsMs, nowMs);
  return read === null ? [true, false] : [read];
}

function takeLease(s: State, lease: Heard & { kind: 'lease' }, nowMs: number, facts: Facts): State[] {
  const { state, issuedMs } = name(s, lease.nonce, nowMs, facts);
  const { durationMs, switches } = lease;
  const refused =
    issuedMs === null ||
    s.limits !== 2 ||
    lease.session !== s.session ||
    durationMs > LONGEST_MS ||
    nowMs - issuedMs >= durationMs ||
    switches < 1 ||
    switches > 3 ||
    s.cause !== CAUSE.none ||
    s.bucket >= BUCKET;
  if (refused) return [state];
  const granted = { ...state, want: switches, endMs: issuedMs + durationMs, capMs: issuedMs + LONGEST_MS };
  return bathFresh(s, nowMs, facts).map((fresh) => (fresh ? granted : state));
}

function takeClear(s: State, clear: Heard & { kind: 'clear' }, nowMs: number, facts: Facts): State[] {
  const { state, issuedMs } = name(s, clear.nonce, nowMs, facts);
  const refused =
    issuedMs === null ||
    s.limits !== 2 ||
    clear.session !== s.session ||
    s.cause === CAUSE.none ||
    clear.cause !== s.cause ||
    s.clearingMs !== 0 ||
    s.bucket >= BUCKET;
  if (refused) return [state];
  const taken = { ...state, clearingMs: facts.arrivedMs(clear) };
  const busy = s.latchedMs !== 0;
  return bathFresh(s, nowMs, facts).flatMap((fresh) => (fresh ? (busy ? [taken, state] : [taken]) : [state]));
}

function badLease(s: State, arrivedMs: number): State {
  const bucket = Math.min(BUCKET, s.bucket + 1);
  return { ...s, bucket, leakMs: s.bucket === 0 ? arrivedMs : s.leakMs };
}

/** Every state that may follow when the board acts on a message at a moment. */
export function act(s: State, heard: Heard, nowMs: number, facts: Facts): State[] {
  const next = { ...s, done: s.done + 1 };
  switch (heard.kind) {
    case 'lease':
      return takeLease(next, heard, nowMs, facts);
    case 'badLease':
      return [badLease(next, facts.arrivedMs(heard))];
    case 'clear':
      return takeClear(next, heard, nowMs, facts);
    case 'limits': {
      const ended = disconnect(next);
      return [heard.allowed ? { ...ended, limits: 1, limitsMs: facts.arrivedMs(heard) } : ended];
    }
    case 'query':
      if (s.limits === 0 || s.session !== 0) return [next];
      return [{ ...next, limits: 2, session: facts.sessionFor(heard) }];
    case 'trip':
      return [trip(next, CAUSE.host, facts.arrivedMs(heard))];
    case 'release':
      return [release(next)];
    case 'systemReset':
      return [disconnect(next)];
  }
}

/** What the board does by itself within a millisecond, at a moment it chooses. */
function byItself(s: State, nowMs: number): State[] {
  let states = [s];
  if (s.clearingMs !== 0 && nowMs >= s.clearingMs + CLEAR_MS[0]) {
    const cleared = { ...s, cause: CAUSE.none, clearingMs: 0 };
    states = nowMs >= s.clearingMs + CLEAR_MS[1] ? [cleared] : [s, cleared];
  }
  if (s.bucket > 0 && nowMs >= s.leakMs + LEAK_MS - POLL_MS) {
    const leak = (each: State): State => ({
      ...each,
      bucket: each.bucket - 1,
      leakMs: each.leakMs + LEAK_MS,
    });
    states =
      nowMs >= s.leakMs + LEAK_MS + ACT_MS + POLL_MS
        ? states.map(leak)
        : states.flatMap((each) => [each, leak(each)]);
  }
  return states.flatMap((each) => watchLink(each, nowMs));
}

function watchLink(s: State, nowMs: number): State[] {
  if (s.bucket < BUCKET || !leaseInForce(s, nowMs)) return [s.corruptMs === 0 ? s : { ...s, corruptMs: 0 }];
  const due = s.corruptMs === 0 ? { ...s, corruptMs: nowMs } : s;
  const tripped = trip(due, CAUSE.linkCorrupt, due.corruptMs);
  return nowMs >= due.corruptMs + POLL_MS ? [tripped] : [due, tripped];
}

/** The timer's millisecond, then whatever the board does by itself in it. */
export function millisecond(s: State, nowMs: number, facts: Facts): State[] {
  if (isQuiet(s, nowMs)) return [s];
  return byItself(forget(tick(s, nowMs), nowMs, facts), nowMs);
}

/** Whether nothing happens by itself this millisecond. */
export function isQuiet(s: State, nowMs: number): boolean {
  return (
    s.capMs === 0 &&
    s.closed === 0 &&
    s.since === LEAD_MS &&
    s.latchedMs === 0 &&
    s.limitsMs === 0 &&
    s.clearingMs === 0 &&
    (s.bucket === 0 || nowMs < s.leakMs + LEAK_MS - POLL_MS)
  );
}

/** Moments that no rule asks about any more are dropped, so that states that differ in them alone become one. */
function forget(s: State, nowMs: number, facts: Facts): State {
  const busyIsOver = s.latchedMs !== 0 && nowMs - s.latchedMs >= LATCH_BUSY_MS;
  const read =
    s.limitsMs !== 0 && nowMs - s.limitsMs > 1000 && facts.bathReadBetween(s.limitsMs, nowMs) === true;
  if (!busyIsOver && !read) return s;
  return { ...s, latchedMs: busyIsOver ? 0 : s.latchedMs, limitsMs: read ? 0 : s.limitsMs };
}

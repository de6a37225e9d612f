import type { AlarmId, AlarmState } from '../../../shared/wire/alarm.ts';
import type { AlarmDefinition } from './table.ts';

/** Why an alarm does not ring although it is computed. `untilS` is of the tick's clock; null = until somebody says so. */
export interface Aside {
  readonly by: string | null;
  readonly reason: string;
  readonly sinceMs: number;
  readonly untilS: number | null;
  /** Ends as soon as the condition has gone once. */
  readonly once: boolean;
}

/**
 * One alarm's plain state after ISA-18.2 / IEC 62682. Priority is not in it: it belongs to the table.
 * `heldS` is how long the condition has been as it is, for the delays.
 */
export interface AlarmRecord {
  readonly alarmId: AlarmId;
  readonly state: AlarmState;
  readonly active: boolean;
  readonly heldS: number;
  readonly sinceMs: number;
  readonly detail: string;
  readonly acknowledgedBy: string | null;
  /** Set while shelved, suppressed by design or out of service. */
  readonly aside: Aside | null;
}

/** What one tick saw of an alarm's condition. */
export interface Observed {
  readonly active: boolean | null;
  /** What was seen and expected; kept while the condition holds, so the last words stay after it has gone. */
  readonly detail: string;
  /** Set where the condition is as it should be at this stage: why. */
  readonly suppressed?: string;
}

/** An alarm at rest. */
export function restingAlarm(alarmId: AlarmId): AlarmRecord {
  return {
    alarmId,
    state: 'normal',
    active: false,
    heldS: 1e6,
    sinceMs: 0,
    detail: '',
    acknowledgedBy: null,
    aside: null,
  };
}

/**
 * Takes in whether the condition holds now, and gives the alarm's next state.
 * The same object comes back where nothing is to change, so that a quiet tick allocates nothing.
 */
export function observe(
  record: AlarmRecord,
  definition: AlarmDefinition,
  seen: Observed,
  wallMs: number,
  dtS: number,
): AlarmRecord {
  if (!seen.active && record.state === 'normal' && !record.active) return record;
  if (seen.active && seen.suppressed !== undefined) {
    if (record.state === 'suppressed-by-design') return record;
    if (record.state === 'normal') return suppress(record, seen.suppressed, wallMs);
  }
  const active = seen.active === true && seen.suppressed === undefined;
  // Its delays begin anew: what was so by design has not lasted yet as a fault.
  const before =
    record.state === 'suppressed-by-design'
      ? { ...record, state: 'normal' as const, active: false, heldS: 0, aside: null }
      : record;
  const heldS = active === before.active ? Math.min(1e6, before.heldS + dtS) : 0;
  const held: AlarmRecord = { ...before, active, heldS, detail: active ? seen.detail : before.detail };
  if (isPutAside(before)) return endsOnce(held, definition) ? backToRest(held) : held;
  return active ? risen(held, definition, wallMs) : fallen(held, definition);
}

function suppress(record: AlarmRecord, reason: string, wallMs: number): AlarmRecord {
  const aside = { by: null, reason, sinceMs: wallMs, untilS: null, once: false };
  return { ...record, state: 'suppressed-by-design', active: true, heldS: 0, detail: '', aside };
}

function risen(held: AlarmRecord, definition: AlarmDefinition, wallMs: number): AlarmRecord {
  const rising =
    held.state === 'normal' || held.state === 'returned-unacknowledged' || held.state === 'latched';
  if (!rising || held.heldS < definition.onDelayS) return held;
  return ring(held, wallMs);
}

function fallen(held: AlarmRecord, definition: AlarmDefinition): AlarmRecord {
  if (held.heldS < definition.offDelayS) return held;
  if (held.state === 'unacknowledged') return { ...held, state: 'returned-unacknowledged' };
  if (held.state === 'acknowledged') return { ...held, state: definition.latching ? 'latched' : 'normal' };
  return held;
}

const ring = (record: AlarmRecord, wallMs: number): AlarmRecord => ({
  ...record,
  state: 'unacknowledged',
  sinceMs: wallMs,
  acknowledgedBy: null,
  aside: null,
});

const backToRest = (record: AlarmRecord): AlarmRecord => ({ ...record, state: 'normal', aside: null });

const endsOnce = ({ aside, active, heldS }: AlarmRecord, { offDelayS }: AlarmDefinition): boolean =>
  aside?.once === true && !active && heldS >= offDelayS;

/** A person has set it aside or taken it out of service: it is computed as ever and does not ring. */
export function isPutAside({ state }: AlarmRecord): boolean {
  return state === 'shelved' || state === 'out-of-service';
}

/** Puts an alarm aside, by a person, with a reason. Whatever it was, that person has seen it. */
export function putAside(
  record: AlarmRecord,
  state: 'shelved' | 'out-of-service',
  aside: Aside & { readonly by: string },
): AlarmRecord {
  return { ...record, state, aside, acknowledgedBy: aside.by };
}

/** Back among the alarms: it rings at once where its condition has held long enough meanwhile. */
export function bringBack(record: AlarmRecord, definition: AlarmDefinition, wallMs: number): AlarmRecord {
  if (record.active && record.heldS >= definition.onDelayS) return ring(record, wallMs);
  return { ...backToRest(record), acknowledgedBy: null };
}

/** The condition grew worse: what was acknowledged or shelved rings anew. */
export function renew(record: AlarmRecord, wallMs: number): AlarmRecord {
  return record.state === 'acknowledged' || record.state === 'shelved' ? ring(record, wallMs) : record;
}

/** A person has seen it. Silence is not acknowledgement, and acknowledgement does not clear. Null: nothing to acknowledge. */
export function acknowledge(
  record: AlarmRecord,
  definition: AlarmDefinition,
  by: string,
): AlarmRecord | null {
  if (record.state === 'unacknowledged') return { ...record, state: 'acknowledged', acknowledgedBy: by };
  if (record.state === 'returned-unacknowledged') {
    return { ...record, state: definition.latching ? 'latched' : 'normal', acknowledgedBy: by };
  }
  return null;
}

/** A person clears a latched alarm, which works only once the condition has gone. */
export function clearLatched(record: AlarmRecord, by: string): AlarmRecord | 'active' | 'not-latched' {
  if (record.active && record.state !== 'normal') return 'active';
  if (record.state !== 'latched' && record.state !== 'returned-unacknowledged') return 'not-latched';
  return { ...record, state: 'normal', acknowledgedBy: by };
}

/** Whether the alarm is to be shown at all. */
export function stands(record: AlarmRecord): boolean {
  return record.state !== 'normal';
}

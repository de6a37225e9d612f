import type { AlarmId, AlarmState } from '../../../shared/wire/alarm.ts';
import type { AlarmDefinition } from './table.ts';

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
  };
}

/**
 * Takes in whether the condition holds now, and gives the alarm's next state.
 * The same object comes back where nothing is to change, so that a quiet tick allocates nothing.
 * @param detail what was seen and expected; kept while the condition holds, so the last words stay after it has gone
 */
export function observe(
  record: AlarmRecord,
  definition: AlarmDefinition,
  active: boolean,
  detail: string,
  wallMs: number,
  dtS: number,
): AlarmRecord {
  if (!active && record.state === 'normal' && !record.active) return record;
  const heldS = active === record.active ? Math.min(1e6, record.heldS + dtS) : 0;
  const words = active ? detail : record.detail;
  const held: AlarmRecord = { ...record, active, heldS, detail: words };
  if (active) {
    const rising =
      record.state === 'normal' || record.state === 'returned-unacknowledged' || record.state === 'latched';
    if (!rising || heldS < definition.onDelayS) return held;
    return { ...held, state: 'unacknowledged', sinceMs: wallMs, acknowledgedBy: null };
  }
  if (heldS < definition.offDelayS) return held;
  if (record.state === 'unacknowledged') return { ...held, state: 'returned-unacknowledged' };
  if (record.state === 'acknowledged') return { ...held, state: definition.latching ? 'latched' : 'normal' };
  return held;
}

/** The condition grew worse: what was acknowledged is so no longer. */
export function renew(record: AlarmRecord, wallMs: number): AlarmRecord {
  if (record.state !== 'acknowledged') return record;
  return { ...record, state: 'unacknowledged', sinceMs: wallMs, acknowledgedBy: null };
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

import type { AlarmId } from '../../../shared/wire/alarm.ts';
import type { Work } from '../work.ts';
import { type AlarmRecord, observe } from './machine.ts';
import { ALARMS } from './table.ts';

/** What one check found this tick. `heatOff`: no heat may be granted while it is so. */
export interface Finding {
  readonly alarmId: AlarmId;
  readonly active: boolean;
  readonly heatOff: boolean;
  /** What was seen and what was expected, with numbers; empty while not active. */
  readonly detail: string;
}

/** Nothing found by this check. */
export function quiet(alarmId: AlarmId): Finding {
  return { alarmId, active: false, heatOff: false, detail: '' };
}

/** Takes the findings of one tick into the alarms and notes each change of state. */
export function stepAlarms(work: Work, findings: readonly Finding[]): void {
  const { next, input, dtS } = work;
  for (const finding of findings) {
    const record = next.alarms.find((a) => a.alarmId === finding.alarmId);
    if (!record) continue;
    const after = observe(record, ALARMS[finding.alarmId], finding.active, finding.detail, input.wallMs, dtS);
    if (after !== record) replaceAlarm(work, record, after, null);
  }
}

/** Puts an alarm's new record in place of the old; a change of state becomes a row of the journal. */
export function replaceAlarm(work: Work, before: AlarmRecord, after: AlarmRecord, by: string | null): void {
  const { next, input } = work;
  next.alarms = next.alarms.map((a) => (a === before ? after : a));
  if (before.state === after.state) return;
  work.alarmRows.push({
    sequence: input.sequence,
    wallMs: input.wallMs,
    cookId: next.cook?.cookId ?? null,
    alarmId: after.alarmId,
    priority: ALARMS[after.alarmId].priority,
    from: before.state,
    to: after.state,
    detail: after.detail,
    by,
  });
}

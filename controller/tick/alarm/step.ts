import type { AlarmId } from '../../../shared/wire/alarm.ts';
import type { Work } from '../work.ts';
import { type AlarmRecord, bringBack, observe, renew } from './machine.ts';
import { ALARM_IDS, ALARMS } from './table.ts';

/** What one check found this tick. `heatOff`: no heat may be granted while it is so. */
export interface Finding {
  readonly alarmId: AlarmId;
  /** Null: nobody can tell this tick, and the alarm stays as it is. */
  readonly active: boolean | null;
  /** The condition has grown worse: an alarm that was acknowledged rings anew. */
  readonly renewed?: boolean;
  readonly heatOff: boolean;
  /** What was seen and what was expected, with numbers; empty while not active. */
  readonly detail: string;
  /** Why there is no heat, where that is no alarm (yet). */
  readonly reason?: string;
  /** The condition holds and is as it should be at this stage: why. The alarm is suppressed by design. */
  readonly suppressed?: string;
  /** Heat is only held back for a moment: control keeps its place and does not begin anew. */
  readonly brief?: boolean;
}

const QUIET = Object.fromEntries(
  ALARM_IDS.map((alarmId) => [
    alarmId,
    Object.freeze({ alarmId, active: false, heatOff: false, detail: '' }),
  ]),
) as Readonly<Record<AlarmId, Finding>>;
const PLACE = Object.fromEntries(ALARM_IDS.map((alarmId, place) => [alarmId, place])) as Readonly<
  Record<AlarmId, number>
>;

/** This tick cannot tell: without a reading a deviation is neither there nor gone. */
export function unknown(alarmId: AlarmId): Finding {
  return { alarmId, active: null, heatOff: false, detail: '' };
}

/** The condition holds, and is as it should be at this stage. */
export function byDesign(alarmId: AlarmId, suppressed: string): Finding {
  return { alarmId, active: true, heatOff: false, detail: '', suppressed };
}

/** Nothing found by this check. */
export function quiet(alarmId: AlarmId): Finding {
  return QUIET[alarmId];
}

/** Takes the findings of one tick into the alarms and notes each change of state. */
export function stepAlarms(work: Work, findings: readonly Finding[]): void {
  const { next, input, dtS } = work;
  endShelves(work);
  for (const finding of findings) {
    const record = next.alarms[PLACE[finding.alarmId]];
    if (!record || finding.active === null) continue;
    if (!finding.active && record.state === 'normal' && !record.active) continue;
    const seen = observe(record, ALARMS[finding.alarmId], finding, input.wallMs, dtS);
    const after = finding.renewed ? renew(seen, input.wallMs) : seen;
    if (after !== record) replaceAlarm(work, record, after, null);
  }
}

/** What was shelved for a time comes back, also where nobody can tell any longer how much time has gone by. */
function endShelves(work: Work): void {
  const { next, input } = work;
  const lost = input.restart !== null && input.restart.awayMs === null;
  for (const record of next.alarms) {
    if (record.state !== 'shelved' || record.aside === null) continue;
    if (!lost && (record.aside.untilS === null || record.aside.untilS > next.clockS)) continue;
    replaceAlarm(work, record, bringBack(record, ALARMS[record.alarmId], input.wallMs), null);
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
    detail: after.aside?.reason ?? after.detail,
    by,
  });
}

import type { AlarmEntry, AlarmId, AlarmView, Priority } from '../../../shared/wire/alarm.ts';
import type { TickState } from '../state.ts';
import { isBoardCut } from '../supervise/heat-link.ts';
import { type AlarmRecord, stands } from './machine.ts';
import { ALARM_IDS, ALARMS } from './table.ts';

const RANK: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };
const UNSEEN: ReadonlySet<string> = new Set(['unacknowledged', 'returned-unacknowledged']);
const NO_CAUSE: ReadonlySet<string> = new Set([
  'normal',
  'shelved',
  'suppressed-by-design',
  'out-of-service',
]);

/** The standing alarm that brings this one about, by the table; null where it stands for itself. */
export function causeOf(alarmId: AlarmId, alarms: readonly AlarmRecord[]): AlarmRecord | null {
  for (const id of ALARMS[alarmId].follows) {
    const cause = alarms.find((record) => record.alarmId === id);
    if (cause && !NO_CAUSE.has(cause.state)) return cause;
  }
  return null;
}

/**
 * Whether an alarm is to be heard: nobody has acknowledged it. A consequence of lower priority than its cause is heard
 * with the cause alone: once somebody has acknowledged that, it is shown and does not ring anew.
 */
export function rings(record: AlarmRecord, alarms: readonly AlarmRecord[]): boolean {
  if (!UNSEEN.has(record.state)) return false;
  const cause = causeOf(record.alarmId, alarms);
  if (cause === null || UNSEEN.has(cause.state)) return true;
  return RANK[ALARMS[record.alarmId].priority] <= RANK[ALARMS[cause.alarmId].priority];
}

/** All that is not at rest, the most pressing first. */
export function alarmViews({ alarms, clockS, wallMs }: TickState): AlarmView[] {
  return alarms
    .filter(stands)
    .map((record) => {
      const { alarmId, active, sinceMs, detail, acknowledgedBy, aside } = record;
      const { title, priority, cause, consequence, action, escalateAfterMin } = ALARMS[alarmId];
      return {
        alarmId,
        title,
        priority,
        state: record.state,
        active,
        sinceMs: aside?.sinceMs ?? sinceMs,
        cause,
        consequence,
        action,
        detail,
        acknowledgedBy,
        ...(isBoardCut(record) ? { boardHolds: true as const } : {}),
        rings: rings(record, alarms),
        becauseOf: causeOf(alarmId, alarms)?.alarmId ?? null,
        escalateAfterS: escalateAfterMin === null ? null : escalateAfterMin * 60,
        aside: aside && {
          by: aside.by,
          reason: aside.reason,
          sinceMs: aside.sinceMs,
          untilMs: aside.untilS === null ? null : wallMs + (aside.untilS - clockS) * 1000,
          once: aside.once,
        },
      };
    })
    .sort((a, b) => RANK[a.priority] - RANK[b.priority]);
}

/** The whole table as people may read it, whether or not anything stands. */
export function alarmEntries(): AlarmEntry[] {
  return ALARM_IDS.map((alarmId) => {
    const { title, priority, cause, consequence, action } = ALARMS[alarmId];
    const { respondS, trips, shelveMostMin, mayLeaveService } = ALARMS[alarmId];
    return {
      alarmId,
      title,
      priority,
      cause,
      consequence,
      action,
      respondS,
      trips,
      shelveMostMin,
      mayLeaveService,
    };
  });
}

import type { AlarmId } from '../../../shared/wire/alarm.ts';
import { type AlarmRecord, stands } from '../alarm/machine.ts';
import { ALARM_IDS, ALARMS } from '../alarm/table.ts';
import { tell, type Work } from '../work.ts';

/** Heat latched off: the first cause with what was seen and expected, kept until a person has cleared every cause. */
export interface Trip {
  readonly alarmId: AlarmId;
  readonly atMs: number;
  readonly detail: string;
}

/** What a person cleared from afar, and when by the tick's clock. */
export type Rearms = Readonly<Partial<Record<AlarmId, number>>>;

/** The same cause may be cleared from afar only once within this time, s. */
const REARM_REST_S = 6 * 3600;

/** Places of the alarms that trip, in their order: looked through every tick. */
const TRIPPING = ALARM_IDS.flatMap((alarmId, place) => (ALARMS[alarmId].trips ? [place] : []));

function firstTripping(alarms: readonly AlarmRecord[]): AlarmRecord | null {
  for (const place of TRIPPING) {
    const record = alarms[place];
    if (record && stands(record)) return record;
  }
  return null;
}

/** Follows the alarms that latch the heat off. */
export function followTrip(work: Work): void {
  const { next, input } = work;
  const standing = firstTripping(next.alarms);
  if (!standing) {
    if (next.trip !== null)
      tell(work, 'trip-cleared', 'Every cause of the trip is cleared: heat may be given again.', {
        firstCause: next.trip.alarmId,
      });
    next.trip = null;
    return;
  }
  if (next.trip !== null) return;
  next.trip = { alarmId: standing.alarmId, atMs: input.wallMs, detail: standing.detail };
  tell(work, 'trip', `Heat tripped: ${ALARMS[standing.alarmId].title}. ${standing.detail}`, {
    firstCause: standing.alarmId,
    detail: standing.detail,
  });
}

/** Whether a trip may be cleared by somebody who does not stand at the bath. */
export function mayRearmFromAfar(alarmId: AlarmId, rearms: Rearms, clockS: number): boolean {
  const last = rearms[alarmId];
  return ALARMS[alarmId].rearm === 'anywhere' && (last === undefined || clockS - last > REARM_REST_S);
}

import type { Status } from '../../../shared/wire/status.ts';
import { stands } from '../alarm/machine.ts';
import { ALARMS } from '../alarm/table.ts';
import { rigFigures } from '../control/identify/figures.ts';
import type { TickState } from '../state.ts';
import { attendanceLacks, presenceLeftS } from './attendance.ts';
import { mayRearmFromAfar } from './trip.ts';

/** The trip as a page shows it: first cause, and what still has to be cleared. */
export function tripView(state: TickState): Status['trip'] {
  const { trip, alarms, rearms, clockS } = state;
  if (!trip) return null;
  const causes = alarms
    .filter((record) => ALARMS[record.alarmId].trips && stands(record))
    .map(({ alarmId, active, state: standing }) => ({
      alarmId,
      title: ALARMS[alarmId].title,
      active,
      acknowledged: standing !== 'unacknowledged',
      atBathOnly: !mayRearmFromAfar(alarmId, rearms, clockS),
    }));
  const { title, action } = ALARMS[trip.alarmId];
  return { alarmId: trip.alarmId, title, atMs: trip.atMs, detail: trip.detail, action, causes };
}

/** Who watches, and what leaving the cook alone lacks. */
export function attendanceView(state: TickState): Status['attendance'] {
  const left = presenceLeftS(state);
  return {
    unattended: state.attendance.unattended,
    lacks: attendanceLacks(state),
    signDueMs: left === null ? null : state.wallMs + left * 1000,
    alarmTestAnsweredMs: state.attendance.answeredAtMs,
  };
}

/** What is known of the rig, at the setpoint of the cook or the water as it is. */
export function rigView(state: TickState): Status['rig'] {
  const { cook, rig, settings, watch, lastGood } = state;
  const running = cook !== null && cook.endedAtMs === null;
  const atC = running ? cook.setpointC : (lastGood?.celsius ?? watch.roomC);
  return rigFigures(rig, settings, atC, watch.roomC);
}

/** Water gone by the heat it took along. */
export function waterView({ watch, settings }: TickState): Status['water'] {
  const { goneKg, goneMostKg } = watch.water;
  return { goneLitres: goneKg, goneMostLitres: goneMostKg, spareLitres: settings.spareLitres };
}

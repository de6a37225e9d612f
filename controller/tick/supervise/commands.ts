import type { AlarmId } from '../../../shared/wire/alarm.ts';
import type { Command } from '../../../shared/wire/command.ts';
import { ALARMS } from '../alarm/table.ts';
import { type Refusal, refuse, tell, type Work } from '../work.ts';
import { attendanceLacks } from './attendance.ts';
import { explainWatch } from './watch/watch.ts';
import { pour } from './watch/water.ts';

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

/** A person gave a sign. */
export function noteHere(work: Work): void {
  work.next.attendance = { ...work.next.attendance, hereAtS: work.next.clockS };
}

/** Water was poured in: what it did to the temperature is explained, and the level is up again. */
export function toppedUp(work: Work, command: Of<'topped-up'>): Refusal | null {
  const { watch } = work.next;
  work.next.watch = { ...watch, water: pour(watch.water, command.litres) };
  tell(work, 'topped-up', `${command.by} poured in ${command.litres} L.`, {
    litres: command.litres,
    celsius: command.celsius,
    by: command.by,
  });
  return null;
}

/** Leaves the cook alone, which needs all that the list names, or stays with it. */
export function setAttendance(work: Work, command: Of<'set-attendance'>): Refusal | null {
  const lacks = command.unattended ? attendanceLacks(work.next) : [];
  if (lacks.length > 0) return refuse('not-fit-unattended', lacks.map((lack) => lack.text).join(' '));
  work.next.attendance = { ...work.next.attendance, unattended: command.unattended };
  const words = command.unattended ? 'leaves this cook alone' : 'stays with this cook';
  tell(work, 'attendance', `${command.by} ${words}.`, { unattended: command.unattended, by: command.by });
  return null;
}

/** A person has answered a test of the alarm path. */
export function answerAlarmTest(work: Work, by: string): Refusal | null {
  const { clockS } = work.next;
  const answeredAtMs = work.input.wallMs;
  work.next.attendance = { ...work.next.attendance, answeredAtS: clockS, answeredAtMs };
  tell(work, 'alarm-test-answered', `${by} answered a test of the alarm.`, { by });
  return null;
}

/** A person cleared an alarm: a trip is noted, and what the reading did is explained by their word. */
export function noteCleared(work: Work, alarmId: AlarmId): void {
  const { next } = work;
  if (!ALARMS[alarmId].trips) return;
  next.rearms = { ...next.rearms, [alarmId]: next.clockS };
  if (alarmId !== 'presence-lapsed') next.watch = explainWatch(next.watch);
}

import type { Command } from '../../../shared/wire/command.ts';
import { type Refusal, refuse, tell, type Work } from '../work.ts';
import { type AlarmRecord, bringBack, isPutAside, putAside } from './machine.ts';
import { replaceAlarm } from './step.ts';
import { ALARMS } from './table.ts';

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

const recordOf = (work: Work, alarmId: AlarmRecord['alarmId']): AlarmRecord | undefined =>
  work.next.alarms.find((record) => record.alarmId === alarmId);

/** Shelves an alarm: for some minutes, or until its condition has gone once, but no longer than the table allows. */
export function shelve(work: Work, command: Of<'shelve'>): Refusal | null {
  const { alarmId, minutes, untilCleared, by, reason } = command;
  const record = recordOf(work, alarmId);
  const { title, consequence, shelveMostMin } = ALARMS[alarmId];
  if (!record || shelveMostMin === 0) return refuse('alarm-not-shelvable', `"${title}" is never shelved.`);
  if (record.state === 'out-of-service')
    return refuse('alarm-not-shelvable', `"${title}" is out of service.`);
  if (minutes > shelveMostMin)
    return refuse(
      'alarm-not-shelvable',
      `Asked for ${minutes} min; at most ${shelveMostMin} min for "${title}".`,
    );
  if (untilCleared && !record.active)
    return refuse('alarm-not-shelvable', `"${title}" has no cause now that could clear.`);
  if (!command.confirmed) return refuse('consequence-unconfirmed', consequence);
  const aside = {
    by,
    reason,
    sinceMs: work.input.wallMs,
    untilS: work.next.clockS + minutes * 60,
    once: untilCleared,
  };
  replaceAlarm(work, record, putAside(record, 'shelved', aside), by);
  const end = untilCleared ? `until its cause has gone, at most ${minutes} min` : `for ${minutes} min`;
  tell(work, 'alarm-shelved', `${by} shelved "${title}" ${end}: ${reason}.`, {
    alarmId,
    minutes,
    untilCleared,
    reason,
    by,
  });
  return null;
}

/** Takes an alarm out of service until somebody puts it back. */
export function takeOutOfService(work: Work, command: Of<'out-of-service'>): Refusal | null {
  const { alarmId, by, reason } = command;
  const record = recordOf(work, alarmId);
  const { title, consequence, mayLeaveService } = ALARMS[alarmId];
  if (!record || !mayLeaveService)
    return refuse('alarm-not-shelvable', `"${title}" is never taken out of service.`);
  if (record.state === 'out-of-service')
    return refuse('alarm-not-shelvable', `"${title}" is out of service already.`);
  if (!command.confirmed) return refuse('consequence-unconfirmed', consequence);
  const aside = { by, reason, sinceMs: work.input.wallMs, untilS: null, once: false };
  replaceAlarm(work, record, putAside(record, 'out-of-service', aside), by);
  tell(work, 'alarm-out-of-service', `${by} took "${title}" out of service: ${reason}.`, {
    alarmId,
    reason,
    by,
  });
  return null;
}

/** Unshelves an alarm, or puts it back in service: it rings at once where its condition has held long enough. */
export function bringAlarmBack(work: Work, { alarmId, by }: Of<'unshelve' | 'in-service'>): Refusal | null {
  const record = recordOf(work, alarmId);
  if (!record || !isPutAside(record)) return refuse('alarm-not-aside', ALARMS[alarmId].title);
  replaceAlarm(work, record, bringBack(record, ALARMS[alarmId], work.input.wallMs), by);
  const words = record.state === 'shelved' ? 'unshelved' : 'put back in service:';
  tell(work, 'alarm-brought-back', `${by} ${words} "${ALARMS[alarmId].title}".`, { alarmId, by });
  return null;
}

/** A new cook begins with every alarm that nobody took out of service, and says which those are. */
export function alarmsForNewCook(work: Work): void {
  const { next, input } = work;
  for (const record of next.alarms) {
    if (record.state === 'shelved')
      replaceAlarm(work, record, bringBack(record, ALARMS[record.alarmId], input.wallMs), null);
  }
  const out = next.alarms.filter((record) => record.state === 'out-of-service');
  if (out.length === 0) return;
  const titles = out.map((record) => `"${ALARMS[record.alarmId].title}" (${record.aside?.reason ?? ''})`);
  tell(work, 'alarms-out-of-service', `Out of service in this cook: ${titles.join(', ')}.`, {
    alarmIds: out.map((record) => record.alarmId),
  });
}

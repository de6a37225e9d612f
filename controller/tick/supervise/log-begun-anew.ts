import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { lostWords } from './log-damaged.ts';

/** At the start a new log was begun, for the old one is lost: no heat until a person has looked at the bath. */
export function checkLogBegunAnew({ input }: Context): Finding {
  const log = input.restart?.log;
  if (!log || log.goesOn) return quiet('log-begun-anew');
  return { alarmId: 'log-begun-anew', active: true, heatOff: true, detail: lostWords(log) };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** At the start the mark that says how far the log must reach was found gone: nobody can show that its end is there. */
export function checkLogUnproved({ input }: Context): Finding {
  const log = input.restart?.log;
  if (log?.what !== 'unproved') return quiet('log-unproved');
  return { alarmId: 'log-unproved', active: true, heatOff: false, detail: log.why };
}

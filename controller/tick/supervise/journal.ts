import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** The log may lag by 2 s; this far behind it is an alarm. */
const ALARM_MS = 30_000;
/** This far behind, what happens is not on record, and heat stops. */
const HEAT_OFF_MS = 120_000;

/** Food cooked without a record cannot be shown to be safe. */
export function checkJournal({ input }: Context): Finding {
  if (input.journalLagMs < ALARM_MS) return quiet('journal-behind');
  return {
    alarmId: 'journal-behind',
    active: true,
    heatOff: input.journalLagMs >= HEAT_OFF_MS,
    detail: `The log is ${Math.round(input.journalLagMs / 1000)} s behind; expected at most 2 s.`,
  };
}

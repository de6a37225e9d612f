import type { LostLog } from '../../../shared/wire/tick.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** At the start rows of the log were found gone, or not what was recorded: which, and where the damaged files are. */
export function checkLogDamaged({ input }: Context): Finding {
  const log = input.restart?.log;
  if (!log?.goesOn || log.what === 'unproved') return quiet('log-damaged');
  const detail = log.what === 'altered' ? alteredWords(log) : `${lostWords(log)}${unsoundWords(log)}`;
  return { alarmId: 'log-damaged', active: true, heatOff: false, detail };
}

const at = (ms: number | null, otherwise: string) =>
  ms === null ? otherwise : `${new Date(ms).toISOString().slice(0, 19).replace('T', ' ')} UTC`;

/** What is gone, from when to when, in sentences. */
export function lostWords({ why, rows, fromMs, toMs, keptAs, goesOn }: LostLog): string {
  const seconds = rows === null ? 'an unknown number of seconds' : `${rows} seconds`;
  const span = `from ${at(fromMs, 'its beginning')} to ${at(toMs, 'a time that is not known')}`;
  const left = goesOn
    ? 'The record goes on from its good part.'
    : 'A new record was begun: it knows of no cook and no bag. Food that is in the bath must be entered again, and its past is not known.';
  return `Lost: ${seconds} of the record, ${span} (${why}). ${left} The damaged files are kept as ${keptAs}.`;
}

function unsoundWords({ unsoundAfter }: LostLog): string {
  return unsoundAfter === undefined
    ? ''
    : ` Rows after tick ${unsoundAfter} are not what was recorded either: nothing is credited on them.`;
}

function alteredWords({ why, rows, fromMs, toMs, unsoundAfter }: LostLog): string {
  const seen = `A row is not what was recorded (${why}).`;
  if (unsoundAfter === undefined)
    return `${seen} Nothing rests on it: it was made again from the rows that the chain vouches for.`;
  const span = `${rows} seconds, from ${at(fromMs, 'the beginning')} to ${at(toMs, 'a time that is not known')}`;
  return `${seen} From there on the chain vouches for nothing: ${span}. No lethality is credited for them, and growth is counted at its worst. What people entered then stands as it is found: check it.`;
}

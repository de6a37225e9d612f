import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** At the start rows of the log that people had seen were found to be gone: which, and where the damaged files are. */
export function checkLogDamaged({ input }: Context): Finding {
  const log = input.restart?.log;
  if (!log) return quiet('log-damaged');
  const rows = log.rows === null ? 'an unknown number of seconds' : `${log.rows} seconds`;
  const at = (ms: number | null, otherwise: string) =>
    ms === null ? otherwise : `${new Date(ms).toISOString().slice(0, 19).replace('T', ' ')} UTC`;
  const span = `from ${at(log.fromMs, 'its beginning')} to ${at(log.toMs, 'a time that is not known')}`;
  const left = log.goesOn
    ? 'The record goes on from its good part.'
    : 'A new record was begun: it knows of no cook and no bag. Food that is in the bath must be entered again, and its past is not known.';
  return {
    alarmId: 'log-damaged',
    active: true,
    heatOff: false,
    detail: `Lost: ${rows} of the record, ${span} (${log.why}). ${left} The damaged files are kept as ${log.keptAs}.`,
  };
}

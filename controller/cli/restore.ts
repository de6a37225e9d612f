import { join, resolve } from 'node:path';
import { type RestoreReport, restoreLog } from '../journal/backup.ts';
import { JOURNAL_FILE } from '../journal/journal.ts';
import { copyWords } from './backup.ts';
import type { CliIo } from './io.ts';
import { care, Input } from './log-care.ts';
import { findLog } from './log-path.ts';

const HELP = `bathkeeper restore FILE [options]

Puts a backup in the place of the log, with the controller stopped. The backup is checked first. A log that is there is
never overwritten: without --put-aside nothing is done, with it the old one is kept under a dated name.

  --data FOLDER     where the log is, or is to be (default: data)
  --put-aside       keep the log that is there under another name, and go on
  --json            print one JSON document and nothing else
  --help            print this

Exit codes: 0 done, 1 failure, 2 bad input.
`;

/** The verb `restore`. */
export function restoreVerb(argv: string[], io: CliIo): Promise<number> {
  const flags = { verb: 'restore', help: HELP, texts: ['data'] as const, flags: ['put-aside'] as const };
  const work = ({
    text,
    on,
    names,
  }: {
    text: { data?: string };
    on: { 'put-aside'?: boolean };
    names: readonly string[];
  }) => restore(text.data ?? 'data', on['put-aside'] ?? false, names);
  return care(flags, argv, io, work, (report: RestoreReport) => {
    const aside = report.putAside === null ? '' : `The log that was there is kept as ${report.putAside}.\n`;
    return `${copyWords(report)}${aside}`;
  });
}

function restore(
  data: string,
  putAside: boolean,
  [file, ...more]: readonly string[],
): Promise<RestoreReport> {
  if (file === undefined || more.length > 0) throw new Input('expected one FILE to restore from');
  const found = findLog(data);
  if (!found.ok && found.why.includes('several')) throw new Input(found.why);
  const path = found.ok ? found.path : join(resolve(data), JOURNAL_FILE);
  return restoreLog(file, path, { putAside, wallMs: Date.now() });
}

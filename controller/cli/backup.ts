import { backupLog, type CopyReport } from '../journal/backup.ts';
import type { CliIo } from './io.ts';
import { care, Input } from './log-care.ts';
import { findLog } from './log-path.ts';

const HELP = `bathkeeper backup FILE [options]

Copies the log to FILE, also while the controller runs, and checks the copy page by page before it gets its name.
An existing file is never overwritten. Only the log is copied, not bathkeeper.json or the commissioning record.

  --data FOLDER     where the log is (default: data)
  --json            print one JSON document and nothing else
  --help            print this

Exit codes: 0 done, 1 failure, 2 bad input.
`;

/** The verb `backup`. */
export function backupVerb(argv: string[], io: CliIo): Promise<number> {
  const flags = { verb: 'backup', help: HELP, texts: ['data'] as const, flags: [] };
  return care(flags, argv, io, ({ text, names }) => copy(text.data ?? 'data', names), copyWords);
}

function copy(data: string, [file, ...more]: readonly string[]): Promise<CopyReport> {
  if (file === undefined || more.length > 0) throw new Input('expected one FILE to copy to');
  const found = findLog(data);
  if (!found.ok) throw new Input(found.why);
  return backupLog(found.path, file);
}

/** What a copy holds, in words. */
export function copyWords({ path, bytes, lastSequence, cooks, sha256 }: CopyReport): string {
  return `${path}: ${cooks} cooks, ticks up to ${lastSequence}, ${(bytes / 1e6).toFixed(1)} MB, checked.\nSHA-256 ${sha256}\n`;
}

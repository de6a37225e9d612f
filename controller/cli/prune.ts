import { type PrunePlan, pruneLog } from '../journal/prune.ts';
import type { CliIo } from './io.ts';
import { care, Input } from './log-care.ts';
import { findLog } from './log-path.ts';

const HELP = `bathkeeper prune --keep-days N [options]

Says what is past its retention of N days and, with --apply, takes it out of the log. Stop the controller first.

A cook goes whole, with its summaries and states, once its end and every tick of it lie more than N days before the
newest tick on record; time outside any cook likewise. What runs or is within its retention stays whole, with what a
replay of it needs. The chain is carried across what was taken out. Local codes may ask for a longer retention.

  --keep-days N     retention in whole days, 1 to 36500
  --apply           take it out; without it nothing is changed
  --data FOLDER     where the log is (default: data)
  --json            print one JSON document and nothing else
  --help            print this

Exit codes: 0 done, 1 failure, 2 bad input.
`;

/** The verb `prune`. */
export function pruneVerb(argv: string[], io: CliIo): Promise<number> {
  const texts = ['data', 'keep-days'] as const;
  const flags = { verb: 'prune', help: HELP, texts, flags: ['apply'] as const };
  return care(flags, argv, io, ({ text, on, names }) => prune(text, on.apply ?? false, names), words);
}

function prune(
  text: { data?: string; 'keep-days'?: string },
  apply: boolean,
  names: readonly string[],
): Promise<PrunePlan> {
  const days = text['keep-days'] ?? '';
  const keepDays = /^\d{1,5}$/.test(days) ? Number(days) : Number.NaN;
  if (names.length > 0)
    throw new Input(`"${names[0]}" is not expected: what goes is decided by --keep-days alone`);
  if (!(keepDays >= 1 && keepDays <= 36_500)) throw new Input('--keep-days takes whole days from 1 to 36500');
  const found = findLog(text.data ?? 'data');
  if (!found.ok) throw new Input(found.why);
  return pruneLog(found.path, { keepDays, nowMs: Date.now(), apply });
}

function words({ beforeMs, cooks, ticks, applied, bytesBefore, bytesAfter }: PrunePlan): string {
  const mb = (bytes: number) => `${(bytes / 1e6).toFixed(1)} MB`;
  const lines = [`Past retention: what ended before ${new Date(beforeMs).toISOString()}.`];
  for (const { cookId, name, endedAtMs } of cooks) {
    lines.push(`${cookId}  ended ${new Date(endedAtMs).toISOString()}  ${name}`);
  }
  const what = `${cooks.length} cooks, ${ticks} ticks`;
  lines.push(
    applied
      ? `Taken out: ${what}; ${mb(bytesBefore)} became ${mb(bytesAfter)}.`
      : `To be taken out: ${what}. Nothing was changed; --apply does it.`,
  );
  return `${lines.join('\n')}\n`;
}

import { parseArgs } from 'node:util';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { openReader } from '../journal/reader.ts';
import { type ReplayReport, replayCook } from '../replay.ts';
import type { CliIo } from './io.ts';
import { findLog } from './log-path.ts';
import { codeVersion } from './version.ts';

const HELP = `bathkeeper replay <cook> [options]

Runs the recorded inputs of a cook through this version of the controller again, and compares every output and
alarm with the record, bit for bit, up to the last tick on disk.

  <cook>            id of the cook, or "last" for the newest
  --from TICK       begin with the last whole state kept before that tick (one is kept every 600), also with one from
                    before the cook; without it with the last before the cook
  --data FOLDER     where the log is (default: data)
  --json            print one JSON document and nothing else
  --help            print this

Exit codes: 0 the same, 1 differences or failure, 2 bad input.
`;

/** The verb `replay`. */
export async function replayVerb(argv: string[], io: CliIo): Promise<number> {
  let flags: { data?: string; from?: string; json?: boolean; help?: boolean };
  let names: string[];
  try {
    const parsed = parseArgs({
      args: argv,
      allowPositionals: true,
      options: {
        data: { type: 'string' },
        from: { type: 'string' },
        json: { type: 'boolean' },
        help: { type: 'boolean' },
      },
    });
    flags = parsed.values;
    names = parsed.positionals;
  } catch (error) {
    io.err(`${(error as Error).message}\nSee: bathkeeper replay --help\n`);
    return 2;
  }
  if (flags.help) {
    io.out(HELP);
    return 0;
  }
  const found = findLog(flags.data ?? 'data');
  if (names.length !== 1 || !found.ok) {
    io.err(`bathkeeper replay: ${found.ok ? 'expected the id of one cook, or "last".' : found.why}\n`);
    return 2;
  }
  const from = Number(flags.from ?? 0);
  if (!Number.isSafeInteger(from) || from < 0) {
    io.err(`bathkeeper replay: --from is "${flags.from}"; expected the number of a tick.\n`);
    return 2;
  }
  const reader = await openReader(found.path);
  try {
    const cookId = names[0] === 'last' ? ((await reader.cooks()).at(-1)?.cookId ?? 'last') : (names[0] ?? '');
    const report = await replayCook(reader, cookId, codeVersion(), from);
    io.out(flags.json ? `${JSON.stringify(report)}\n` : words(report));
    return report.differences === 0 ? 0 : 1;
  } catch (error) {
    io.err(`bathkeeper replay: ${(error as Error).message}\n`);
    return error instanceof BathkeeperError && error.code === 'cook-unknown' ? 2 : 1;
  } finally {
    await reader.close();
  }
}

/** A text where it begins to differ from another: a whole state has tens of thousands of characters. */
function around(text: string, other: string): string {
  if (text.length <= SHOWN_WHOLE) return text;
  let at = 0;
  while (at < text.length && text[at] === other[at]) at += 1;
  const from = Math.max(0, at - SHOWN_WHOLE / 2);
  const [before, after] = [from > 0 ? '... ' : '', from + SHOWN_WHOLE < text.length ? ' ...' : ''];
  return `${before}${text.slice(from, from + SHOWN_WHOLE)}${after}`;
}

const SHOWN_WHOLE = 600;

function words(report: ReplayReport): string {
  const lines = [
    `${report.ticks} ticks, ${report.fromSequence} to ${report.throughSequence}, ${report.snapshots} whole states: ${report.differences} differences.`,
  ];
  if (report.missing > 0) lines.push(`${report.missing} seconds are not in the log.`);
  if (report.otherCode.length > 0) {
    lines.push(`Recorded by version ${report.otherCode.join(', ')}: differences are to be expected.`);
  }
  for (const one of report.shown) {
    lines.push(
      `tick ${one.sequence}, ${one.what}`,
      `  recorded ${around(one.recorded, one.replayed)}`,
      `  replayed ${around(one.replayed, one.recorded)}`,
    );
  }
  return `${lines.join('\n')}\n`;
}

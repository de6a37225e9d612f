import { readFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { readMark } from '../journal/mark.ts';
import { shortOf } from '../journal/reach.ts';
import { openReader } from '../journal/reader.ts';
import { type VerifyReport, verifyLog } from '../journal/verify.ts';
import { verifyExport } from '../journal/verify-export.ts';
import type { CliIo } from './io.ts';
import { findLog } from './log-path.ts';

const HELP = `bathkeeper verify [<cook> | FILE.json] [options]

Holds a record against its SHA-256 chain, row by row, and names the first place where they part. From the log, or from
a JSON export of a cook; without either, the whole log.

  <cook>            id of the cook, or "last" for the newest
  FILE.json         an exported cook instead of the log
  --head HEX        a link written down elsewhere (64 digits, as printed on the record): some tick must have it
  --data FOLDER     where the log is (default: data)
  --json            print one JSON document and nothing else
  --help            print this

The chain shows changes to anybody who has written down a link of it. It holds no secret: who changes rows and makes
the whole chain anew is found only by such a link (--head).

Exit codes: 0 record and chain agree, 1 they part or a failure, 2 bad input.
`;

/** The verb `verify`. */
export async function verifyVerb(argv: string[], io: CliIo): Promise<number> {
  const asked = parse(argv);
  if (typeof asked === 'string') {
    io.err(`bathkeeper verify: ${asked}. See: bathkeeper verify --help\n`);
    return 2;
  }
  if (asked.help) {
    io.out(HELP);
    return 0;
  }
  try {
    const report = await (asked.name?.endsWith('.json') ? fromFile(asked.name, asked.head) : fromLog(asked));
    const sound = report.breaks === 0 && report.headFoundAt !== 0;
    io.out(asked.json ? `${JSON.stringify({ sound, ...report })}\n` : words(report));
    return sound ? 0 : 1;
  } catch (error) {
    io.err(`bathkeeper verify: ${(error as Error).message}\n`);
    return error instanceof Input || (error instanceof BathkeeperError && error.code === 'cook-unknown')
      ? 2
      : 1;
  }
}

/** Something that was asked for is not there. */
class Input extends Error {}

interface Asked {
  readonly name: string | null;
  readonly head: string | null;
  readonly data: string;
  readonly json: boolean;
  readonly help: boolean;
}

function parse(argv: string[]): Asked | string {
  try {
    const text = { type: 'string' } as const;
    const flag = { type: 'boolean' } as const;
    const options = { head: text, data: text, json: flag, help: flag };
    const { values, positionals } = parseArgs({ args: argv, allowPositionals: true, options });
    if (positionals.length > 1)
      return `${positionals.length} names were given; expected one cook or file, or none`;
    const head = values.head?.toLowerCase() ?? null;
    if (head !== null && !/^[0-9a-f]{64}$/.test(head))
      return '--head takes the 64 hexadecimal digits of a link';
    const { data = 'data', json = false, help = false } = values;
    return { name: positionals[0] ?? null, head, data, json, help };
  } catch (error) {
    return (error as Error).message.split(/\.?(?:\n|\. |$)/, 1)[0] ?? '';
  }
}

function fromFile(path: string, head: string | null): VerifyReport {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    throw new Input(`${path} cannot be read (${(error as Error).message}).`);
  }
  return verifyExport(text, head);
}

async function fromLog({ name, head, data }: Asked): Promise<VerifyReport> {
  const found = findLog(data);
  if (!found.ok) throw new Input(found.why);
  const reader = await openReader(found.path);
  try {
    const cookId = name === 'last' ? ((await reader.cooks()).at(-1)?.cookId ?? 'last') : name;
    const mark = readMark(found.path);
    const report = await verifyLog(reader, cookId, head);
    const last = await reader.lastSequence();
    const short = shortOf(mark, last);
    if (short === null) return report;
    const end = { sequence: last + 1, row: 'the end of the log', why: short };
    return { ...report, breaks: report.breaks + 1, shown: [...report.shown, end] };
  } finally {
    await reader.close();
  }
}

function words(report: VerifyReport): string {
  const what = report.cookId === null ? 'The whole log' : `Cook ${report.cookId}`;
  const from = report.source === 'export' ? ', from the exported file' : '';
  const lines = [
    `${what}${from}: ${report.ticks} ticks held against the chain, ${report.firstSequence} to ${report.throughSequence}.`,
  ];
  if (report.unchained > 0) {
    lines.push(
      `${report.unchained} ticks were recorded before there was a chain: nothing can be said of them.`,
    );
  }
  for (const { sequence, row, why } of report.shown)
    lines.push(`PARTED at tick ${sequence}: ${row}: ${why}.`);
  if (report.breaks > report.shown.length) lines.push(`${report.breaks - report.shown.length} more places.`);
  if (report.headFoundAt === 0) lines.push('PARTED: no tick has the link that was asked for.');
  if (report.headFoundAt) lines.push(`The link that was asked for is that of tick ${report.headFoundAt}.`);
  if (report.breaks === 0) lines.push('Record and chain agree.');
  lines.push(`Head: ${report.head || 'none'}`);
  return `${lines.join('\n')}\n`;
}

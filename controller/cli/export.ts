import { createWriteStream } from 'node:fs';
import { mkdir, open, rename, rm } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { parseArgs } from 'node:util';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { CookRow } from '../../shared/wire/record.ts';
import { cookCsvMetadata } from '../journal/csv-metadata.ts';
import { syncFolder } from '../journal/damage.ts';
import { cookCsv, cookJson, exportPoint } from '../journal/export.ts';
import { type JournalReader, openReader } from '../journal/reader.ts';
import { cookRecordHtml } from '../journal/record/page.ts';
import type { CliIo } from './io.ts';
import { findLog } from './log-path.ts';

const HELP = `bathkeeper export <cook> [options]
bathkeeper export --list [options]

Writes the log of a cook: a CSV with one row a second and its CSV-on-the-Web description,
one JSON document of the whole cook, and the record of the cook as a page to print. A cook that still runs can be exported too.

  <cook>            id of the cook, or "last" for the newest
  --format csv|json|html
                    only that (default: all)
  --out FOLDER      where to write (default: the present folder)
  --data FOLDER     where the log is (default: data)
  --list            print the cooks in the log instead
  --json            print one JSON document about what was done, and nothing else
  --help            print this

Exit codes: 0 done, 1 failure, 2 bad input.
`;

type Format = 'csv' | 'json' | 'html';

/** Bad input: printed with the way to mend it, exit code 2. */
class Usage extends Error {}

/** Codes that mean the command asked for something that is not there, not that something broke. */
const INPUT_CODES: ReadonlySet<string> = new Set(['cook-unknown', 'bad-request']);

interface Options {
  readonly cook: string | null;
  readonly formats: readonly Format[];
  readonly out: string;
  readonly data: string;
  readonly list: boolean;
  readonly json: boolean;
}

/** The verb `export`. Gives the exit code: 0 done, 1 failure, 2 bad input. */
export async function exportVerb(argv: string[], io: CliIo): Promise<number> {
  try {
    const options = parse(argv);
    if (options === 'help') {
      io.out(HELP);
      return 0;
    }
    const found = findLog(options.data);
    if (!found.ok) throw new Usage(found.why);
    const reader = await openReader(found.path);
    try {
      await (options.list ? list(reader, options, io) : write(reader, options, io));
    } finally {
      await reader.close();
    }
    return 0;
  } catch (error) {
    io.err(`bathkeeper export: ${error instanceof Error ? error.message : String(error)}\n`);
    return isInputFault(error) ? 2 : 1;
  }
}

function isInputFault(error: unknown): boolean {
  return error instanceof Usage || (error instanceof BathkeeperError && INPUT_CODES.has(error.code));
}

function parse(argv: string[]): Options | 'help' {
  const { values, positionals } = parsed(argv);
  if (values.help) return 'help';
  const list = values.list ?? false;
  if (list && (positionals.length > 0 || values.format !== undefined || values.out !== undefined)) {
    throw new Usage('--list takes neither a cook nor --format nor --out. Give one or the other.');
  }
  if (!list && positionals.length !== 1) {
    const found = positionals.length === 0 ? 'no cook was named' : `${positionals.length} cooks were named`;
    throw new Usage(`${found}; expected one id, or "last". List the cooks with: bathkeeper export --list`);
  }
  return {
    cook: positionals[0] ?? null,
    formats: formatsOf(values.format),
    out: resolve(values.out ?? '.'),
    data: values.data ?? 'data',
    list,
    json: values.json ?? false,
  };
}

function parsed(argv: string[]) {
  const text = { type: 'string' } as const;
  const flag = { type: 'boolean' } as const;
  try {
    return parseArgs({
      args: argv,
      allowPositionals: true,
      options: { format: text, out: text, data: text, list: flag, json: flag, help: flag },
    });
  } catch (error) {
    // The first sentence says what is wrong; the rest of the library's text is advice in terms of its own.
    const why = (error instanceof Error ? error.message : String(error)).split(/\.?(?:\n|\. |$)/, 1)[0];
    throw new Usage(`${why}. See: bathkeeper export --help`);
  }
}

function formatsOf(format: string | undefined): readonly Format[] {
  if (format === undefined) return ['csv', 'json', 'html'];
  if (format === 'csv' || format === 'json' || format === 'html') return [format];
  throw new Usage(`--format ${format} is not known; expected csv, json or html.`);
}

async function list(reader: JournalReader, options: Options, io: CliIo): Promise<void> {
  const cooks = await reader.cooks();
  if (options.json) return io.out(`${JSON.stringify({ cooks: cooks.map(brief) })}\n`);
  if (cooks.length === 0) return io.out('No cooks are in this log.\n');
  for (const cook of cooks) {
    const ended = cook.endedAtMs === null ? 'running' : new Date(cook.endedAtMs).toISOString();
    io.out(`${cook.cookId}  ${new Date(cook.startedAtMs).toISOString()} to ${ended}  ${cook.name}\n`);
  }
}

function brief({ cookId, name, stage, startedAtMs, endedAtMs }: CookRow) {
  return { cookId, name, stage, startedAtMs, endedAtMs };
}

async function write(reader: JournalReader, options: Options, io: CliIo): Promise<void> {
  const cookId = await resolveCook(reader, options.cook ?? '');
  const point = await exportPoint(reader, cookId);
  await makeFolder(options.out);
  const files: string[] = [];
  const put = async (name: string, text: AsyncIterable<string> | Iterable<string>) => {
    files.push(await writeWhole(options.out, name, text));
  };
  if (options.formats.includes('csv')) {
    const csv = `${cookId}.csv`;
    await put(csv, cookCsv(reader, cookId, point));
    await put(`${csv}-metadata.json`, [await cookCsvMetadata(reader, cookId, csv, point)]);
  }
  if (options.formats.includes('json')) await put(`${cookId}.json`, cookJson(reader, cookId, point));
  if (options.formats.includes('html')) {
    await put(`${cookId}.html`, cookRecordHtml(reader, cookId, point));
  }
  if (options.json) {
    io.out(`${JSON.stringify({ cook: brief(point.detail.cook), files })}\n`);
  } else {
    for (const file of files) io.out(`${file}\n`);
  }
}

async function makeFolder(folder: string): Promise<void> {
  try {
    await mkdir(folder, { recursive: true });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new Usage(`${folder} cannot be made a folder (${why}). Give another with --out FOLDER.`);
  }
}

/** An id stands for itself; "last" for the newest cook, unless a cook is called that. */
async function resolveCook(reader: JournalReader, asked: string): Promise<string> {
  const cooks = await reader.cooks();
  if (cooks.some(({ cookId }) => cookId === asked)) return asked;
  const newest = cooks.at(-1);
  if (asked === 'last' && newest) return newest.cookId;
  throw new BathkeeperError('cook-unknown', `(no cook "${asked.slice(0, 80)}")`);
}

/**
 * Writes a file whole or not at all: into a temporary one in the same folder, synced, then renamed.
 * Gives its path. An export of the same cook written before is replaced.
 */
async function writeWhole(folder: string, name: string, text: AsyncIterable<string> | Iterable<string>) {
  const path = join(folder, name);
  const temporary = `${path}.part`;
  try {
    await pipeline(Readable.from(text), createWriteStream(temporary));
    const handle = await open(temporary, 'r+');
    await handle.sync().finally(() => handle.close());
    await rename(temporary, path);
    syncFolder(folder);
    return path;
  } catch (error) {
    await rm(temporary, { force: true });
    throw error;
  }
}

import type { BagVersion } from '../../shared/wire/export.ts';
import type { BagRow } from '../../shared/wire/record.ts';
import type { Sample } from '../../shared/wire/rows.ts';
import { chainJson } from './chain-export.ts';
import { columnsOf, line } from './csv.ts';
import { GapFinder } from './gaps.ts';
import type { CookDetail, JournalReader } from './reader.ts';

/** Samples held at a time, however long the cook. */
const PAGE = 1000;

/** What an export covers; the same one given to each part makes the parts agree while the cook goes on. */
export interface ExportPoint {
  readonly throughSequence: number;
  readonly detail: CookDetail;
}

/** Fixes what an export covers: everything committed by now. Rejects with `cook-unknown`. */
export async function exportPoint(reader: JournalReader, cookId: string): Promise<ExportPoint> {
  const throughSequence = await reader.lastSequence();
  const detail = await reader.cook(cookId);
  const upTo = <T extends { sequence: number }>(rows: readonly T[]) =>
    rows.filter(({ sequence }) => sequence <= throughSequence);
  const { alarms, events, commands } = detail;
  const cookVersions = upTo(detail.cookVersions);
  const bagVersions = upTo(detail.bagVersions);
  const parts = { alarms: upTo(alarms), events: upTo(events), commands: upTo(commands) };
  const newest = { cook: cookVersions.at(-1)?.row ?? detail.cook, bags: newestBags(bagVersions) };
  return { throughSequence, detail: { ...detail, ...parts, ...newest, cookVersions, bagVersions } };
}

/** The newest version of each bag, in the order the bags came. */
export function newestBags(versions: readonly BagVersion[]): BagRow[] {
  return [...new Map(versions.map(({ row }) => [row.bagId, row])).values()];
}

/**
 * A cook as CSV by RFC 4180 (UTF-8, CRLF, UTC ISO 8601), one row a sample, in pieces of text so that no
 * cook ever sits whole in memory. Numbers are written so that reading them gives the same number.
 */
export async function* cookCsv(
  reader: JournalReader,
  cookId: string,
  point?: ExportPoint,
): AsyncGenerator<string> {
  const at = point ?? (await exportPoint(reader, cookId));
  const columns = columnsOf(at.detail.bags);
  const notes = notesOf(at.detail);
  yield line(columns.map(({ title }) => title));
  for await (const page of samplePages(reader, cookId, at.throughSequence)) {
    const row = (sample: Sample) =>
      line(columns.map((column) => column.cell(sample, notes.get(sample.sequence) ?? '')));
    yield page.map(row).join('');
  }
}

/**
 * A whole cook as one JSON document of `cookExportSchema`, in pieces of text: cook, runs, bags and every version of
 * them, commands, events, alarms, every sample, the gaps between them, and the chain over it all. Text is exactly as
 * people wrote it.
 */
export async function* cookJson(
  reader: JournalReader,
  cookId: string,
  point?: ExportPoint,
): AsyncGenerator<string> {
  const { throughSequence, detail } = point ?? (await exportPoint(reader, cookId));
  const { cook, runs, bags, cookVersions, bagVersions, commands, events, alarms } = detail;
  const about = { format: 'bathkeeper-cook', version: 2, throughSequence } as const;
  const whole = { ...about, cook, runs, bags, cookVersions, bagVersions, commands, events, alarms };
  yield `${JSON.stringify(whole).slice(0, -1)},"samples":[\n`;
  const gapFinder = gapsOf(reader, detail);
  let comma = '';
  for await (const page of samplePages(reader, cookId, throughSequence)) {
    yield comma + page.map((sample) => JSON.stringify(sample)).join(',\n');
    comma = ',\n';
    for (const sample of page) await gapFinder.add(sample);
  }
  const gaps = await gapFinder.end();
  yield `\n],"gaps":${JSON.stringify(gaps)},"chain":`;
  yield* chainJson(reader, cookId, { ...about, cook, runs, bags, gaps });
  yield '}\n';
}

/** The finder of a cook's gaps, for its samples to be given to. */
export function gapsOf(reader: JournalReader, { runs }: CookDetail): GapFinder {
  const runEnds = runs.map(({ afterSequence }) => afterSequence);
  return new GapFinder((sequence) => reader.inputAt(sequence), runEnds);
}

/** The samples of a cook up to a sequence, a page at a time. */
export async function* samplePages(
  reader: JournalReader,
  cookId: string,
  through: number,
): AsyncGenerator<Sample[]> {
  for (let after = 0; ; ) {
    const page = await reader.samples(cookId, after, PAGE, through);
    const last = page.at(-1);
    if (!last) return;
    yield page;
    after = last.sequence;
  }
}

/** What happened in each second, in words. */
function notesOf({ events, alarms, commands }: CookDetail): Map<number, string> {
  const notes = new Map<number, string>();
  const add = (sequence: number, text: string) => {
    const before = notes.get(sequence);
    notes.set(sequence, before === undefined ? text : `${before}; ${text}`);
  };
  for (const { sequence, command, result } of commands) {
    const outcome = result.accepted ? 'accepted' : `refused (${result.code})`;
    add(sequence, `${command.by}: ${command.kind}, ${outcome}`);
  }
  for (const { sequence, text } of events) add(sequence, text);
  for (const { sequence, alarmId, priority, from, to, by, detail } of alarms) {
    add(sequence, `alarm ${alarmId} (${priority}) ${from} to ${to}${by ? ` by ${by}` : ''}: ${detail}`);
  }
  return notes;
}

import { columnsOf } from './csv.ts';
import { csvwOf } from './csvw.ts';
import { type ExportPoint, exportPoint } from './export.ts';
import { factsOf } from './facts.ts';
import type { JournalReader } from './reader.ts';
import { headOf } from './record/head.ts';
import { measuredOf } from './record/measured.ts';

/**
 * The CSV-on-the-Web description of a cook's CSV; `csvUrl` is the CSV's address relative to it. Beside the columns it
 * carries what has no place in rows: who, what, lots, probes, rules, gaps and the end of the chain, each claim with how it
 * came to be.
 */
export async function cookCsvMetadata(
  reader: JournalReader,
  cookId: string,
  csvUrl: string,
  point?: ExportPoint,
): Promise<string> {
  const at = point ?? (await exportPoint(reader, cookId));
  const { detail } = at;
  const speed = Math.max(1, ...detail.runs.map((run) => run.speed));
  const measured = await measuredOf(reader, cookId, at);
  const configs = await reader.configs(cookId);
  const { link } = await headOf(reader, at, cookId);
  const described = csvwOf(detail.cook, columnsOf(detail.bags), csvUrl, speed);
  return `${JSON.stringify({ ...described, notes: factsOf(at, measured, configs, link) }, null, 2)}\n`;
}

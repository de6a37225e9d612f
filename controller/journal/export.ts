import type { JournalReader } from './reader.ts';

/** The three parts of an export; each is text in pieces, so that no cook ever sits whole in memory. */
export interface Exports {
  /** RFC 4180, UTF-8, one row a sample. */
  cookCsv(reader: JournalReader, cookId: string): AsyncIterable<string>;
  /** CSV-on-the-Web description of that file; `csvUrl` is the CSV's address relative to this one. */
  cookCsvMetadata(reader: JournalReader, cookId: string, csvUrl: string): Promise<string>;
  /** One JSON document of `cookExportSchema`. */
  cookJson(reader: JournalReader, cookId: string): AsyncIterable<string>;
}

import { hex, linkIn } from '../chain.ts';
import type { ExportPoint } from '../export.ts';
import type { JournalReader } from '../reader.ts';

/** The end of the chain as far as a record goes. */
export interface Head {
  readonly sequence: number;
  readonly link: string | null;
}

/** The last link over the rows that a record covers. */
export async function headOf(reader: JournalReader, at: ExportPoint, cookId: string): Promise<Head> {
  const { last } = await reader.chainRange(cookId);
  const sequence = Math.min(last, at.throughSequence);
  const [found] = await reader.links(sequence - 1, sequence, 1);
  return { sequence, link: found?.stored ? hex(linkIn(found.stored)) : null };
}

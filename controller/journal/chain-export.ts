import type { Chain, ChainLink, CookExport } from '../../shared/wire/export.ts';
import { BEGINNING, hex, leafOf, linkIn } from './chain.ts';
import type { FoundLink } from './leaves.ts';
import type { JournalReader } from './reader.ts';

/** The parts of an export that no link covers; the seal is made over them. */
export type Sealed = Pick<CookExport, 'format' | 'version' | 'throughSequence' | 'cook'> & {
  readonly runs: readonly CookExport['runs'][number][];
  readonly bags: readonly CookExport['bags'][number][];
  readonly gaps: readonly CookExport['gaps'][number][];
};

const PAGE = 1000;
const base64 = (bytes: Uint8Array) => Buffer.from(bytes).toString('base64');

/** The SHA-256, in hexadecimal, over the parts that no link covers and the ends of the chain. */
export function sealOf(sealed: Sealed, ends: Pick<Chain, 'before' | 'unchained' | 'head'>): string {
  const { format, version, throughSequence, cook, runs, bags, gaps } = sealed;
  const { before, unchained, head } = ends;
  const text = JSON.stringify([
    format,
    version,
    throughSequence,
    cook,
    runs,
    bags,
    gaps,
    before,
    unchained,
    head,
  ]);
  return hex(leafOf('run', null, text));
}

/** The chain of a cook as JSON of `chainSchema`, in pieces of text. */
export async function* chainJson(
  reader: JournalReader,
  cookId: string,
  sealed: Sealed,
): AsyncGenerator<string> {
  yield '{"algorithm":"SHA-256","links":[\n';
  let before = BEGINNING;
  let head = BEGINNING;
  let unchained = 0;
  let comma = '';
  for await (const page of linkPages(reader, cookId, sealed.throughSequence)) {
    const links: string[] = [];
    for (const found of page) {
      if (!found.stored) {
        unchained += 1;
        continue;
      }
      if (comma === '' && links.length === 0) before = found.before;
      head = linkIn(found.stored);
      links.push(JSON.stringify(exported(found, found.stored, cookId)));
    }
    if (links.length === 0) continue;
    yield comma + links.join(',\n');
    comma = ',\n';
  }
  const ends = { before: hex(before), unchained, head: hex(head) };
  yield `\n],${JSON.stringify({ ...ends, seal: sealOf(sealed, ends) }).slice(1)}`;
}

/** The links over a cook's rows up to a sequence, a page at a time. */
export async function* linkPages(
  reader: JournalReader,
  cookId: string,
  through: number,
): AsyncGenerator<FoundLink[]> {
  const { first, last } = await reader.chainRange(cookId);
  const end = Math.min(last, through);
  for (let after = first - 1; after < end; ) {
    const page = await reader.links(after, end, PAGE);
    const lastOfPage = page.at(-1);
    if (!lastOfPage) return;
    yield page;
    after = lastOfPage.sequence;
  }
}

/** Kinds of row that an export of their cook holds. */
const EXPORTED: ReadonlySet<string> = new Set(['sample', 'cook', 'bag', 'event', 'alarm', 'command']);

function exported({ sequence, leaves }: FoundLink, stored: Uint8Array, cookId: string): ChainLink {
  const others = leaves.flatMap(({ kind, cookId: of, digest }, n): [number, string][] =>
    n === 0 || (EXPORTED.has(kind) && of === cookId) ? [] : [[n, base64(digest)]],
  );
  return [sequence, base64(stored), base64(leaves[0]?.digest ?? BEGINNING), others];
}

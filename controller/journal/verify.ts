import { differingLeaves, hex, type LeafKind, linkIn, linkOf, same } from './chain.ts';
import type { FoundLink } from './leaves.ts';
import { type Checked, TierCheck } from './tier-check.ts';

/** One place where the record and its chain part. */
export interface Break {
  readonly sequence: number;
  /** The row, in words; or that it is the link itself. */
  readonly row: string;
  readonly why: string;
}

/** A break with the kind of the row; null where it is the link itself, or a row too many or too few. */
export interface TailBreak extends Break {
  readonly kind: LeafKind | null;
}

/** What was found when a record was held against its chain. */
export interface VerifyReport {
  /** The cook; null = the whole log. */
  readonly cookId: string | null;
  readonly source: 'log' | 'export';
  readonly firstSequence: number;
  readonly throughSequence: number;
  /** Ticks whose rows were held against their link. */
  readonly ticks: number;
  /** Ticks recorded before there was a chain: nothing can be said of them. */
  readonly unchained: number;
  /** The last link, in hexadecimal. */
  readonly head: string;
  /** How many places were found; `shown` holds the first of them. */
  readonly breaks: number;
  readonly shown: readonly Break[];
  /** Null where no link was asked for; else the tick that has it, or 0 where none has. */
  readonly headFoundAt: number | null;
}

const PAGE = 1000;
const SHOWN = 20;

/** Gathers what is found, link by link. */
export class Findings {
  ticks = 0;
  unchained = 0;
  breaks = 0;
  head = '';
  headFoundAt: number | null;
  readonly shown: Break[] = [];
  /** The kind of row of each that is shown. */
  readonly kinds: (LeafKind | null)[] = [];
  readonly #asked: string | null;

  readonly #most: number;

  /** `asked` is a link that was written down elsewhere, in hexadecimal: it must be that of some tick. */
  constructor(asked: string | null, most = SHOWN) {
    this.#asked = asked;
    this.#most = most;
    this.headFoundAt = asked === null ? null : 0;
  }

  add(sequence: number, row: string, why: string, kind: LeafKind | null = null): void {
    this.breaks += 1;
    if (this.shown.length >= this.#most) return;
    this.shown.push({ sequence, row, why });
    this.kinds.push(kind);
  }

  /** Holds the rows of one tick against its link. */
  check({ sequence, before, stored, leaves }: Omit<FoundLink, 'stored'> & { stored: Uint8Array }): void {
    this.ticks += 1;
    const link = linkIn(stored);
    this.head = hex(link);
    if (this.head === this.#asked) this.headFoundAt = sequence;
    const faulty = leaves.filter(({ fault }) => fault !== null);
    for (const { row, fault, kind } of faulty) this.add(sequence, row, fault ?? '', kind);
    const digests = leaves.map(({ digest }) => digest);
    const differing = differingLeaves(stored, digests);
    const follows = same(linkOf(before, sequence, digests), link);
    if (faulty.length > 0 || (follows && differing !== 'count' && differing.length === 0)) return;
    if (differing === 'count') {
      const why = `${leaves.length} rows are on record for it, its link was made over another number: a row was taken out or put in`;
      this.add(sequence, `tick ${sequence}`, why);
      return;
    }
    const itself = `the link of tick ${sequence}`;
    if (follows) {
      const marks = differing.map((n) => leaves[n]?.row).join(', ');
      this.add(sequence, itself, `its mark of ${marks} was changed`);
      return;
    }
    // The leaf of the input covers the bytes of the sample too: where the sample's own leaf differs, that is the place.
    const named = differing.length > 1 ? differing.filter((n) => leaves[n]?.kind !== 'input') : differing;
    for (const n of named) this.add(sequence, leaves[n]?.row ?? '', CHANGED, leaves[n]?.kind);
    if (named.length > 0) return;
    const why =
      'it does not follow on the link before it: a tick was taken out or put in, or a link was changed';
    this.add(sequence, itself, why);
  }

  report(about: Pick<VerifyReport, 'cookId' | 'source' | 'firstSequence' | 'throughSequence'>): VerifyReport {
    const { ticks, unchained, head, breaks, shown, headFoundAt } = this;
    return { ...about, ticks, unchained, head, breaks, shown, headFoundAt };
  }
}

const CHANGED = 'it is not what the chain was made over: it was changed since';

/**
 * Holds what the log has of a cook (null: of everything) against the SHA-256 chain, row by row, and the tiers and the
 * range of the cook against its samples. `asked` is a link to look for. Rejects with `cook-unknown`.
 */
export async function verifyLog(
  reader: Checked,
  cookId: string | null,
  asked: string | null = null,
): Promise<VerifyReport> {
  const findings = new Findings(asked);
  const { first, last, chainAfter, fault } = await reader.chainRange(cookId);
  let chained = false;
  for (let after = first - 1; after < last; ) {
    const page = await reader.links(after, last, PAGE);
    for (const { stored, ...found } of page) {
      if (stored) findings.check({ ...found, stored });
      else if (found.sequence <= chainAfter && !chained) findings.unchained += 1;
      else findings.add(found.sequence, `the link of tick ${found.sequence}`, 'it is gone');
      chained ||= stored !== null;
    }
    after = page.at(-1)?.sequence ?? last;
  }
  if (fault !== null && cookId !== null) findings.add(first, `the range of cook ${cookId}`, fault);
  // What is made from the rows can only be held against rows that are sound.
  if (findings.breaks === 0) await checkTiers(reader, cookId, findings);
  return findings.report({ cookId, source: 'log', firstSequence: first, throughSequence: last });
}

/**
 * Holds what a restart goes on from, the ticks after the last whole state, against the chain: rows that were changed on
 * the disk since, though the database is sound. A tick whose link is gone is vouched for by nothing, but for those of before
 * there was a chain. Gives every place found, in order.
 */
export async function verifyTail(
  reader: Pick<Checked, 'links' | 'chainRange'> & { lastSequence(): Promise<number> },
  after: number,
): Promise<readonly TailBreak[]> {
  const findings = new Findings(null, Number.POSITIVE_INFINITY);
  const last = await reader.lastSequence();
  let chainAfter: number | null = null;
  for (let at = after; at < last; ) {
    const page = await reader.links(at, last, PAGE);
    for (const { stored, ...found } of page) {
      if (stored) {
        findings.check({ ...found, stored });
        continue;
      }
      // Asked for only where one is missing, for it reads through the whole log.
      chainAfter ??= (await reader.chainRange(null)).chainAfter;
      if (found.sequence > chainAfter)
        findings.add(found.sequence, `the link of tick ${found.sequence}`, 'it is gone');
    }
    at = page.at(-1)?.sequence ?? last;
  }
  return findings.shown.map((found, n) => ({ ...found, kind: findings.kinds[n] ?? null }));
}

async function checkTiers(reader: Checked, cookId: string | null, findings: Findings): Promise<void> {
  const ids = cookId === null ? (await reader.cooks()).map((cook) => cook.cookId) : [cookId];
  for (const id of ids) {
    const check = new TierCheck(reader, id);
    for (const { sequence, row, why } of await check.run()) findings.add(sequence, row, why);
  }
}

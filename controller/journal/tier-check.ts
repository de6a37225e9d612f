import { TIERS_S, type TierRow } from '../../shared/wire/rows.ts';
import type { KeptTier } from './chain-range.ts';
import type { JournalReader } from './reader.ts';
import { addSample, type Buckets, closeAll, NO_BUCKETS } from './tiers.ts';

/** What a check reads. */
export type Checked = Pick<JournalReader, 'links' | 'chainRange' | 'keptTiers' | 'samples' | 'cooks'>;

const PAGE = 2000;

interface Part {
  readonly sequence: number;
  readonly row: string;
  readonly why: string;
}

/** True where a kept row, and the columns it is found by, say exactly what the samples give. */
function agree(made: TierRow | undefined, kept: KeptTier | undefined): boolean {
  if (!made || !kept) return false;
  const { firstSequence, lastSequence, startMs } = made;
  const placed = firstSequence === kept.firstSequence && lastSequence === kept.lastSequence;
  return placed && startMs === kept.startMs && JSON.stringify(made) === kept.text;
}

/** Holds the tiers of one cook against its samples: a tier is their exact aggregate, so it needs no link of its own. */
export class TierCheck {
  readonly #reader: Checked;
  readonly #cookId: string;

  constructor(reader: Checked, cookId: string) {
    this.#reader = reader;
    this.#cookId = cookId;
  }

  /** The first row of each width that is not what the samples give. */
  async run(): Promise<Part[]> {
    let through = 0;
    const made = new Map<number, TierRow[]>(TIERS_S.map((widthS) => [widthS, []]));
    let buckets: Buckets = NO_BUCKETS;
    for (let after = 0; ; ) {
      const page = await this.#reader.samples(this.#cookId, after, PAGE);
      for (const sample of page) {
        const added = addSample(buckets, sample);
        buckets = added.buckets;
        for (const row of added.closed) made.get(row.widthS)?.push(row);
      }
      const last = page.at(-1);
      if (!last) break;
      after = last.sequence;
      through = after;
    }
    const open = closeAll(buckets);
    const parts: Part[] = [];
    for (const widthS of TIERS_S) {
      const last = open.find((row) => row.widthS === widthS);
      const part = await this.#compare(made.get(widthS) ?? [], last, through);
      if (part) parts.push(part);
    }
    return parts;
  }

  async #compare(made: readonly TierRow[], open: TierRow | undefined, through: number): Promise<Part | null> {
    const widthS = made[0]?.widthS ?? open?.widthS;
    if (widthS === undefined) return null;
    const found = await this.#reader.keptTiers(this.#cookId, widthS);
    // A cook that goes on may have brought more since its samples were read.
    const kept = found.filter((row) => row.lastSequence <= through);
    // The last bucket is kept only once it is complete.
    const all = open && kept.length > made.length ? [...made, open] : made;
    for (let n = 0; n < Math.max(all.length, kept.length); n += 1) {
      if (agree(all[n], kept[n])) continue;
      const sequence = all[n]?.firstSequence ?? kept[n]?.firstSequence ?? 0;
      const row = `the ${widthS} s summary that begins with tick ${sequence}`;
      return { sequence, row, why: 'it is not what the samples give' };
    }
    return null;
  }
}

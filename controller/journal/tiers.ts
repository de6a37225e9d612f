import {
  type BagSample,
  type Sample,
  TIERS_S,
  type TierRow,
  type TierWidth,
} from '../../shared/wire/rows.ts';

/** A bucket that samples are still added to. Plain data; `add` never changes it but gives the next. */
export interface Bucket {
  readonly widthS: TierWidth;
  readonly startMs: number;
  readonly firstSequence: number;
  readonly lastSequence: number;
  readonly ticks: number;
  readonly count: number;
  readonly sumC: number;
  readonly minC: number | null;
  readonly maxC: number | null;
  readonly setpointC: number | null;
  readonly dutySum: number;
  readonly bags: readonly BagSample[];
}

/** The open bucket of each width, in the order of TIERS_S. */
export type Buckets = readonly (Bucket | null)[];

/** Nothing in any bucket. */
export const NO_BUCKETS: Buckets = TIERS_S.map(() => null);

/** Start of the bucket that a moment falls in: a whole multiple of the width since the epoch. */
export function bucketStartMs(widthS: number, wallMs: number): number {
  const widthMs = widthS * 1000;
  return Math.floor(wallMs / widthMs) * widthMs;
}

/**
 * Adds one sample to the open bucket of every width. Gives the buckets afterwards, and the rows of those
 * that this sample closed by falling into another one. A row is the exact aggregate of its samples.
 */
export function addSample(buckets: Buckets, sample: Sample): { buckets: Buckets; closed: TierRow[] } {
  const closed: TierRow[] = [];
  const next = TIERS_S.map((widthS, index) => {
    const open = buckets[index] ?? null;
    const startMs = bucketStartMs(widthS, sample.wallMs);
    if (open?.startMs === startMs) return extend(open, sample);
    if (open) closed.push(rowOf(open));
    return begin(widthS, startMs, sample);
  });
  return { buckets: next, closed };
}

/** The rows of all open buckets, for the end of a cook, after which no sample can come. */
export function closeAll(buckets: Buckets): TierRow[] {
  return buckets.flatMap((bucket) => (bucket ? [rowOf(bucket)] : []));
}

function begin(widthS: TierWidth, startMs: number, sample: Sample): Bucket {
  const { bathC } = sample;
  return {
    widthS,
    startMs,
    firstSequence: sample.sequence,
    lastSequence: sample.sequence,
    ticks: 1,
    count: bathC === null ? 0 : 1,
    sumC: bathC ?? 0,
    minC: bathC,
    maxC: bathC,
    setpointC: sample.setpointC,
    dutySum: sample.duty,
    bags: sample.bags,
  };
}

function extend(bucket: Bucket, sample: Sample): Bucket {
  const { bathC } = sample;
  const both = {
    ...bucket,
    lastSequence: sample.sequence,
    ticks: bucket.ticks + 1,
    setpointC: sample.setpointC,
    dutySum: bucket.dutySum + sample.duty,
    bags: lastOfEach(bucket.bags, sample.bags),
  };
  if (bathC === null) return both;
  return {
    ...both,
    count: bucket.count + 1,
    sumC: bucket.sumC + bathC,
    minC: bucket.minC === null ? bathC : Math.min(bucket.minC, bathC),
    maxC: bucket.maxC === null ? bathC : Math.max(bucket.maxC, bathC),
  };
}

/** The newest estimate of each bag; one taken out within the bucket keeps its last. */
function lastOfEach(before: readonly BagSample[], now: readonly BagSample[]): readonly BagSample[] {
  const gone = before.filter((old) => !now.some((bag) => bag.bagId === old.bagId));
  return gone.length === 0 ? now : [...gone, ...now];
}

function rowOf(bucket: Bucket): TierRow {
  return {
    widthS: bucket.widthS,
    startMs: bucket.startMs,
    firstSequence: bucket.firstSequence,
    lastSequence: bucket.lastSequence,
    count: bucket.count,
    minC: bucket.minC,
    meanC: bucket.count === 0 ? null : bucket.sumC / bucket.count,
    maxC: bucket.maxC,
    setpointC: bucket.setpointC,
    duty: bucket.dutySum / bucket.ticks,
    bags: [...bucket.bags],
  };
}

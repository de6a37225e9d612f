import { type BagSample, type Sample, TIERS_S, type TierRow } from '../../../shared/wire/rows.ts';
import { type Row, Rows } from './rows.ts';

/** What is kept: 30 min sample by sample (with a little over), 72 h in each tier. */
const RAW_KEEP = 1920;
const TIER_KEEP_S = 72 * 3600;

/** The past as this page knows it: raw samples and the tiers, each sample once in each. */
export class History {
  readonly levels: readonly Rows[];
  /** Newest sequence held; 0 when nothing is. */
  lastSequence = 0;

  constructor() {
    this.levels = [
      new Rows(1000, RAW_KEEP),
      ...TIERS_S.map((widthS) => new Rows(widthS * 1000, Math.ceil(TIER_KEEP_S / widthS))),
    ];
  }

  get raw(): Rows {
    return this.levels[0]!;
  }

  clear(): void {
    for (const level of this.levels) level.clear();
    this.lastSequence = 0;
  }

  /** Takes in tier rows and samples in any order and any number of times; gives whether anything was new. */
  take(tiers: readonly TierRow[], samples: readonly Sample[]): boolean {
    for (const tier of tiers) {
      const level = this.levels.find((rows) => rows.widthMs === tier.widthS * 1000);
      level?.put(fromTier(tier));
      this.lastSequence = Math.max(this.lastSequence, tier.lastSequence);
    }
    const touched = new Map<Rows, Set<number>>(this.levels.slice(1).map((level) => [level, new Set()]));
    for (const sample of samples) {
      this.raw.put(fromSample(sample));
      this.lastSequence = Math.max(this.lastSequence, sample.sequence);
      for (const [level, starts] of touched) {
        starts.add(Math.floor(sample.wallMs / level.widthMs) * level.widthMs);
      }
    }
    if (samples.length > 0) {
      const from = samples.reduce((low, sample) => Math.min(low, sample.sequence), Number.POSITIVE_INFINITY);
      for (const [level, starts] of touched) this.summarise(level, starts, from);
    }
    return tiers.length + samples.length > 0;
  }

  /** Makes the buckets that new samples fell into anew from the raw rows, so that late samples count too. */
  private summarise(level: Rows, starts: ReadonlySet<number>, fromSequence: number): void {
    const raw = this.raw;
    const bucketOf = (i: number) => Math.floor(raw.key[i]! / level.widthMs) * level.widthMs;
    let i = raw.indexOf(fromSequence);
    if (i < raw.length) {
      const first = bucketOf(i);
      while (i > 0 && bucketOf(i - 1) === first) i--;
    }
    while (i < raw.length) {
      const start = bucketOf(i);
      let end = i + 1;
      while (end < raw.length && bucketOf(end) === start) end++;
      // A bucket with samples missing inside would draw a line over the hole; it waits until they come.
      const whole = raw.last[end - 1]! - raw.first[i]! === end - 1 - i;
      if (whole && starts.has(start)) level.put(aggregate(raw, i, end, start));
      i = end;
    }
  }
}

function fromSample(sample: Sample): Row {
  const { bathC } = sample;
  return {
    startMs: sample.wallMs,
    first: sample.sequence,
    last: sample.sequence,
    count: bathC === null ? 0 : 1,
    minC: bathC,
    meanC: bathC,
    maxC: bathC,
    setpointC: sample.setpointC,
    duty: sample.duty,
    bags: sample.bags,
  };
}

function fromTier(tier: TierRow): Row {
  const { startMs, firstSequence, lastSequence, count, minC, meanC, maxC, setpointC, duty, bags } = tier;
  return {
    startMs,
    first: firstSequence,
    last: lastSequence,
    count,
    minC,
    meanC,
    maxC,
    setpointC,
    duty,
    bags,
  };
}

/** Rows `from` (included) to `to` (not included) of the raw level as one row: min, mean, max; last setpoint and bags. */
function aggregate(raw: Rows, from: number, to: number, startMs: number): Row {
  let count = 0;
  let sum = 0;
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  let duty = 0;
  for (let i = from; i < to; i++) {
    duty += raw.duty[i]!;
    const bath = raw.meanC[i]!;
    if (Number.isNaN(bath)) continue;
    count++;
    sum += bath;
    min = Math.min(min, bath);
    max = Math.max(max, bath);
  }
  const setpoint = raw.setpointC[to - 1]!;
  return {
    startMs,
    first: raw.first[from]!,
    last: raw.last[to - 1]!,
    count,
    minC: count > 0 ? min : null,
    meanC: count > 0 ? sum / count : null,
    maxC: count > 0 ? max : null,
    setpointC: Number.isNaN(setpoint) ? null : setpoint,
    duty: duty / (to - from),
    bags: lastBags(raw, from, to),
  };
}

function lastBags(raw: Rows, from: number, to: number): BagSample[] {
  const bags: BagSample[] = [];
  for (const [bagId, columns] of raw.bags) {
    let i = to - 1;
    while (i >= from && Number.isNaN(columns.coreC[i]!)) i--;
    if (i < from) continue;
    bags.push({
      bagId,
      coreC: columns.coreC[i]!,
      coldC: columns.coldC[i]!,
      hotC: columns.hotC[i]!,
      log10: 0,
    });
  }
  return bags;
}

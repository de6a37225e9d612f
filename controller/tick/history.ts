/** Width of a bucket of the recent history, in seconds. */
export const BUCKET_S = 10;
const PER_MINUTE = 6;
/** At least one hour of 10 s buckets is kept; older ones are folded into minutes. */
const RECENT = 360;
/** One hundred hours of minutes: longer than the longest cook the product is built for (72 h). */
const MINUTES = 6000;

/**
 * The bath as a bag entered late, or described anew, needs it: the last hour in 10 s means, older in minutes.
 * Plain data. Buckets count from nought of the tick's clock; a bucket without a valid reading is null.
 */
export interface BathHistory {
  /** Number of the first minute kept. */
  readonly firstMinute: number;
  readonly minutesC: readonly (number | null)[];
  /** Number of the first recent bucket; always the first of a minute. */
  readonly firstBucket: number;
  readonly waterC: readonly (number | null)[];
  /** Mean fraction of full heat granted, a recent bucket. */
  readonly heat: readonly number[];
  readonly sumC: number;
  readonly goodS: number;
  readonly heatS: number;
  readonly openS: number;
}

export const EMPTY_HISTORY: BathHistory = {
  firstMinute: 0,
  minutesC: [],
  firstBucket: 0,
  waterC: [],
  heat: [],
  sumC: 0,
  goodS: 0,
  heatS: 0,
  openS: 0,
};

/** Number of the last closed bucket; -1 before the first. */
export function lastBucket(history: BathHistory): number {
  return history.firstBucket + history.waterC.length - 1;
}

/** Adds one tick: `clockS` the tick's clock at its end, `celsius` null without a valid reading. */
export function recordBath(
  history: BathHistory,
  clockS: number,
  celsius: number | null,
  heating: boolean,
  dtS: number,
): BathHistory {
  const bucket = Math.floor(clockS / BUCKET_S);
  const base = bucket > lastBucket(history) + 1 ? closeBuckets(history, bucket) : history;
  return {
    ...base,
    sumC: celsius === null ? base.sumC : base.sumC + celsius * dtS,
    goodS: celsius === null ? base.goodS : base.goodS + dtS,
    heatS: heating ? base.heatS + dtS : base.heatS,
    openS: base.openS + dtS,
  };
}

/** Closes the open bucket and leaves those that were skipped (a late tick, a time away) as gaps. */
function closeBuckets(history: BathHistory, bucket: number): BathHistory {
  const waterC = history.waterC.slice();
  const heat = history.heat.slice();
  const minutesC = history.minutesC.slice();
  let { firstBucket, firstMinute } = history;
  waterC.push(history.goodS > 0 ? history.sumC / history.goodS : null);
  heat.push(history.openS > 0 ? history.heatS / history.openS : 0);
  const most = firstBucket + waterC.length + MINUTES * PER_MINUTE;
  for (let next = firstBucket + waterC.length; next < Math.min(bucket, most); next++) {
    waterC.push(null);
    heat.push(0);
  }
  while (waterC.length >= RECENT + PER_MINUTE) {
    minutesC.push(mean(waterC.splice(0, PER_MINUTE)));
    heat.splice(0, PER_MINUTE);
    firstBucket += PER_MINUTE;
  }
  if (minutesC.length > MINUTES) firstMinute += minutesC.splice(0, minutesC.length - MINUTES).length;
  return { firstMinute, minutesC, firstBucket, waterC, heat, sumC: 0, goodS: 0, heatS: 0, openS: 0 };
}

/** The bath's past forgotten: what was measured before cannot be placed in time. Counting goes on from `clockS`. */
export function forgetBath(history: BathHistory, clockS: number): BathHistory {
  const minute = Math.ceil(Math.max(clockS, (lastBucket(history) + 1) * BUCKET_S) / (PER_MINUTE * BUCKET_S));
  return { ...EMPTY_HISTORY, firstMinute: minute, firstBucket: minute * PER_MINUTE };
}

function mean(values: readonly (number | null)[]): number | null {
  let sum = 0;
  let count = 0;
  for (const value of values) {
    if (value === null) continue;
    sum += value;
    count++;
  }
  return count > 0 ? sum / count : null;
}

/** Mean water temperature `back` buckets before the last closed one (0 = the last); null where unknown. */
export function waterBack(history: BathHistory, back: number): number | null {
  return history.waterC[history.waterC.length - 1 - back] ?? null;
}

/** Calls `visit` with each known mean after `fromS`, oldest first: the middle of its bucket on the tick's clock, and degC. */
export function eachKnown(
  history: BathHistory,
  fromS: number,
  visit: (atS: number, celsius: number) => void,
): void {
  const minuteS = PER_MINUTE * BUCKET_S;
  history.minutesC.forEach((celsius, index) => {
    const atS = (history.firstMinute + index + 0.5) * minuteS;
    if (celsius !== null && atS > fromS) visit(atS, celsius);
  });
  history.waterC.forEach((celsius, index) => {
    const atS = (history.firstBucket + index + 0.5) * BUCKET_S;
    if (celsius !== null && atS > fromS) visit(atS, celsius);
  });
}

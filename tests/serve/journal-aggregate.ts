import type { BagSample, Sample, TierRow, TierWidth } from '../../shared/wire/rows.ts';

/** The plainest way to the tiers of a list of samples: cut it where the bucket changes, then sum each piece. */
export function aggregate(samples: readonly Sample[], widthS: TierWidth): TierRow[] {
  const startOf = ({ wallMs }: Sample) =>
    wallMs - (((wallMs % (widthS * 1000)) + widthS * 1000) % (widthS * 1000));
  const pieces: Sample[][] = [];
  for (const sample of samples) {
    const piece = pieces.at(-1);
    if (piece?.[0] && startOf(piece[0]) === startOf(sample)) piece.push(sample);
    else pieces.push([sample]);
  }
  return pieces.map((piece) => {
    const temperatures = piece.flatMap(({ bathC }) => (bathC === null ? [] : [bathC]));
    const none = temperatures.length === 0;
    return {
      widthS,
      startMs: startOf(piece[0] as Sample),
      firstSequence: piece[0]?.sequence ?? 0,
      lastSequence: piece.at(-1)?.sequence ?? 0,
      count: temperatures.length,
      minC: none ? null : Math.min(...temperatures),
      meanC: none ? null : temperatures.reduce((sum, celsius) => sum + celsius, 0) / temperatures.length,
      maxC: none ? null : Math.max(...temperatures),
      setpointC: piece.at(-1)?.setpointC ?? null,
      duty: piece.reduce((sum, { duty }) => sum + duty, 0) / piece.length,
      bags: lastOfEach(piece),
    };
  });
}

/** Bags in the order in which they were last seen, those of the last sample in its own order. */
function lastOfEach(piece: readonly Sample[]): BagSample[] {
  const seen = new Map<string, BagSample>();
  for (const { bags } of piece) {
    for (const bag of bags) {
      seen.delete(bag.bagId);
      seen.set(bag.bagId, bag);
    }
  }
  return [...seen.values()];
}

import type { TickInput } from '../../../shared/wire/tick.ts';
import type { Sense } from '../sense.ts';
import type { BagTrack } from '../state.ts';
import { tell, type Work } from '../work.ts';
import { advance, judgeCore, type MeasuredCore, metAtS, type Stretch } from './bag.ts';

/** Water not measured for longer than this is a gap in the food's history. */
const GAP_S = 10;

/** Carries every bag that is in through the water since the last valid reading. */
export function estimateBags(work: Work, sense: Sense): void {
  const { next, input } = work;
  if (sense.celsius === null) return;
  const last = next.lastGood;
  next.coldestC = Math.min(next.coldestC ?? sense.celsius, sense.celsius);
  if (last && next.bags.length > 0) {
    const seconds = next.clockS - last.atS;
    const gap = seconds > GAP_S || input.restart !== null;
    const stretch = { fromC: last.celsius, toC: sense.celsius, seconds, atS: next.clockS, gap };
    // A bag that came in or was described anew with this tick has already been carried up to it.
    const fresh = new Set(work.bagsChanged);
    next.bags = next.bags.map((bag) =>
      bag.outAtMs !== null || fresh.has(bag.spec.bagId) ? bag : stepBag(work, bag, stretch),
    );
  }
  next.lastGood = { celsius: sense.celsius, monotonicMs: input.readings.bath.monotonicMs, atS: next.clockS };
}

function stepBag(work: Work, bag: BagTrack, stretch: Stretch): BagTrack {
  const { around } = work.next.settings;
  const measured = measuredCore(work.input, bag, work.next.coldestC ?? bag.spec.startC);
  const pair = measured && bag.measured ? ([bag.measured, measured] as const) : null;
  // A bag's own clock begins when it goes in, so that what is said of it counts from then.
  const own = { ...stretch, atS: stretch.atS - bag.inAtS };
  const estimate = advance(bag.estimate, own, around.circulation, bag.lies, pair);
  const met = bag.metAtMs === null && metAtS(estimate) !== null;
  if (!met) return { ...bag, estimate, measured };
  work.bagsChanged.add(bag.spec.bagId);
  const words = `${bag.spec.label}: the lethality standard is met in the slowest case (modelled).`;
  tell(work, 'lethality-met', words, {
    bagId: bag.spec.bagId,
    standardId: estimate.track.setup.standardIds[0] ?? null,
  });
  return { ...bag, estimate, measured, metAtMs: work.input.wallMs };
}

function measuredCore(input: TickInput, bag: BagTrack, waterColdestC: number): MeasuredCore | null {
  const probe = input.readings.cores.find((core) => core.bagId === bag.spec.bagId);
  if (!probe) return null;
  const celsius = probe.reading.quality === 'good' ? probe.reading.celsius : null;
  const coldestC = Math.min(waterColdestC, bag.spec.startC);
  return judgeCore(bag.estimate, { celsius, coldSpot: bag.coldSpot, coldestC });
}

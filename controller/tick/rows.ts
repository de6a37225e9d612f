import { trackResult } from '../../shared/hazard/track-view.ts';
import type { BagRow, CookRow } from '../../shared/wire/record.ts';
import type { BagSample, Sample } from '../../shared/wire/rows.ts';
import { breachesOf, leastLog10 } from './estimate/bag.ts';
import { type BagChill, coolingKept, storageOf } from './estimate/chill.ts';
import type { Sense } from './sense.ts';
import type { BagTrack, CookState, TickState } from './state.ts';

const to = (value: number, digits: number): number => {
  const scale = 10 ** digits;
  // Adding nought turns -0, which JSON does not keep, into 0.
  return Math.round(value * scale) / scale + 0;
};

/** A bag's estimate for the log: temperatures to 0.01 degC, lethality to 0.001 log. */
export function bagSampleOf(bag: BagTrack): BagSample {
  const { lowC, middleC, highC } = bag.estimate.core;
  return {
    bagId: bag.spec.bagId,
    coreC: to(middleC, 2),
    coldC: to(lowC, 2),
    hotC: to(highC, 2),
    log10: to(leastLog10(bag.estimate), 3),
  };
}

/** The row of one second. */
export function sampleOf(state: TickState, sense: Sense): Sample {
  return {
    sequence: state.sequence,
    wallMs: state.wallMs,
    bathC: sense.celsius === null ? null : to(sense.celsius, 4),
    setpointC: state.cook && state.cook.endedAtMs === null ? state.cook.setpointC : null,
    duty: to(state.regulator.duty, 3),
    bags: state.bags.filter((bag) => bag.outAtMs === null).map(bagSampleOf),
  };
}

/** A cook as the journal keeps it. */
export function cookRow(state: TickState, cook: CookState): CookRow {
  return {
    cookId: cook.cookId,
    name: cook.name,
    stage: cook.stage,
    startedAtMs: cook.startedAtMs,
    endedAtMs: cook.endedAtMs,
    codeVersion: state.settings.codeVersion,
    configJson: state.settings.configJson,
    ...(state.firmware === null ? {} : { firmware: state.firmware }),
    setpointC: cook.setpointC,
  };
}

function chillRow(state: TickState, bag: BagTrack, chill: BagChill): BagRow['chill'] {
  const { end, method, startedAtMs } = chill;
  return {
    method,
    startedAtMs,
    readings: chill.readings.map((reading) => ({ ...reading })),
    endedAtMs: end?.atMs ?? null,
    outcome: end?.outcome ?? null,
    fridgeC: end?.fridge?.maxC ?? null,
    coolingKept: coolingKept(bag, state.clockS),
    storeUntilMs: storageOf(bag, chill, state.clockS).untilMs,
  };
}

/** A bag as the journal keeps it. */
export function bagRow(state: TickState, bag: BagTrack): BagRow {
  return {
    ...bag.spec,
    cookId: state.cook?.cookId ?? '',
    assumed: bag.assumed,
    inAtMs: bag.inAtMs,
    outAtMs: bag.outAtMs,
    standardId: bag.estimate.track.setup.standardIds[0] ?? null,
    lethalityMetAtMs: bag.metAtMs,
    ...harmRow(bag),
    ...(bag.chill ? { chill: chillRow(state, bag, bag.chill) } : {}),
  };
}

/** What stands against a bag: growth to 0.001 log, rounded up, and each limit that was broken, once. */
function harmRow({ estimate, carriedS, inAtS }: BagTrack): Pick<BagRow, 'growthLog10' | 'broken'> {
  const { log10 } = trackResult(estimate.track, carriedS - inAtS).worst.growth;
  const byLimit = new Map(
    breachesOf(estimate).map(({ limit, words, source }) => [limit, { limit, words, source }]),
  );
  return { growthLog10: Math.ceil(log10 * 1000) / 1000, broken: [...byLimit.values()] };
}

import { type ColdSpotRecord, type CoreFlag, creditedCore } from '../../../shared/food/measured.ts';
import { interruptLethality, startLethality } from '../../../shared/hazard/lethality.ts';
import { standardById } from '../../../shared/hazard/standards/index.ts';
import type { BagTrack } from '../state.ts';
import type { BagEstimate } from './bag.ts';

/**
 * A core read by hand in the bath, and what follows from it for the credit of heat until the next one. Plain data.
 * A thermometer that was pulled out again says nothing of later: so what it lowers stays lowered, and what it raises
 * stays only while that cannot be wrong.
 */
export interface HandReading {
  readonly atMs: number;
  readonly celsius: number;
  readonly by: string;
  readonly effect: 'lowered' | 'raised' | 'none';
  readonly flags: readonly CoreFlag[];
  /** The coldest case runs so much colder from now on, K: the reading less its error was under it, yet within its error. */
  readonly lowerK: number;
  /** Nothing above this is credited any more: the reading proves the piece slower than described. */
  readonly capC: number | null;
  /** The cold spot cannot be colder than this while the water is hotter. */
  readonly floorC: number | null;
}

/** What was read by hand. */
export interface HandRead {
  readonly atMs: number;
  readonly celsius: number;
  readonly errorC: number;
  readonly by: string;
  /** Who searched the cold spot for this very reading, and how; null where nobody did. A wired probe has its own. */
  readonly coldSpot: ColdSpotRecord | null;
}

/** Judges a reading taken by hand now, in a bag in the bath. `coldestC`: the coldest that food or water has been. */
export function judgeHand(bag: BagTrack, read: HandRead, coldestC: number): HandReading {
  const { lowC, middleC, highC } = bag.estimate.core;
  const { celsius, errorC, coldSpot } = read;
  const model = { leastC: lowC, middleC, mostC: highC };
  const found = creditedCore(model, { celsius, errorC, coldSpot }, coldestC);
  const lowered = found.from === 'probe' && found.celsius < lowC;
  const raised = found.from === 'probe' && found.celsius > lowC;
  const disproved = found.flags.includes('below-worst-case');
  return {
    atMs: read.atMs,
    celsius,
    by: read.by,
    effect: lowered ? 'lowered' : raised ? 'raised' : 'none',
    flags: found.flags,
    lowerK: lowered && !disproved ? lowC - found.celsius : 0,
    capC: disproved ? found.celsius : null,
    floorC: raised ? found.celsius : null,
  };
}

/**
 * What bears on the credit after a further reading: what an earlier one lowered stays lowered until somebody has searched
 * the cold spot and read there what meat can have. A thermometer in the water must not give the credit back.
 */
export function afterEarlier(earlier: HandReading | null, now: HandReading, searched: boolean): HandReading {
  const doubtful =
    now.flags.includes('hotter-than-meat-can-be') || now.flags.includes('colder-than-meat-can-be');
  if (earlier === null || (searched && !doubtful)) return now;
  const caps = [earlier.capC, now.capC].filter((capC) => capC !== null);
  return {
    ...now,
    lowerK: Math.max(earlier.lowerK, now.lowerK),
    capC: caps.length > 0 ? Math.min(...caps) : null,
  };
}

/** True where a reading, the last or an earlier one, holds the credit under the model's coldest case. */
export function holdsLower(hand: HandReading | null): boolean {
  return hand !== null && (hand.lowerK > 0 || hand.capC !== null);
}

/** The core to credit heat by, given the coldest the model allows, C. */
export function boundedCore(hand: HandReading, leastC: number): number {
  const lowered = Math.min(leastC - hand.lowerK, hand.capC ?? Number.POSITIVE_INFINITY);
  return Math.max(lowered, hand.floorC ?? Number.NEGATIVE_INFINITY);
}

/**
 * What is left of a reading once the piece has been in water of `waterC`, null where nobody knows or it was not wholly
 * under: a floor holds only under hotter water.
 */
export function afterWater(hand: HandReading, waterC: number | null): HandReading {
  const holds = hand.floorC === null || (waterC !== null && waterC > hand.floorC);
  return holds ? hand : { ...hand, floorC: null };
}

/** True where the reading bears on the credit. */
export function bears(hand: HandReading | null): hand is HandReading {
  return hand !== null && (holdsLower(hand) || hand.floorC !== null);
}

/** Credit begun anew: the model that earned it was proved too fast by a reading. */
export function withoutCredit(estimate: BagEstimate): BagEstimate {
  const { track } = estimate;
  const lethality = track.setup.standardIds.map((id) => startLethality(standardById(id)));
  return { ...estimate, track: { ...track, worst: { ...track.worst, lethality } } };
}

/** An estimate with the credit of an earlier one and its holds broken: between the two nothing could be credited. */
export function withCreditOf(estimate: BagEstimate, earlier: BagEstimate): BagEstimate {
  const lethality = earlier.track.worst.lethality.map(interruptLethality);
  const { track } = estimate;
  return { ...estimate, track: { ...track, worst: { ...track.worst, lethality } } };
}

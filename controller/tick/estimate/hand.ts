import {
  type ColdSpotRecord,
  type CoreFlag,
  creditedCore,
  heardInMeat,
} from '../../../shared/food/measured.ts';
import { type CoreHold, holdBy, takesBack } from '../../../shared/hazard/core-hold.ts';
import { type HandBound, withoutCredit } from '../../../shared/hazard/core-watch.ts';
import { interruptLethality } from '../../../shared/hazard/lethality.ts';
import type { BagTrack } from '../state.ts';
import type { BagEstimate } from './bag.ts';

/**
 * A core read by hand in the bath, and what follows from it for the credit of heat until the next one. Plain data.
 * A thermometer that was pulled out again says nothing of later: so what it lowers stays lowered, and what it raises
 * stays only while that cannot be wrong.
 */
export interface HandReading extends HandBound {
  readonly atMs: number;
  readonly celsius: number;
  readonly by: string;
  readonly effect: 'lowered' | 'raised' | 'none';
  readonly flags: readonly CoreFlag[];
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

/** A reading by hand as judged. */
export interface JudgedHand {
  readonly hand: HandReading;
  /** It takes back what was earned before. */
  readonly takenBack: boolean;
}

/** Judges a reading taken by hand now, in a bag in the bath. `coldestC`: the coldest that food or water has been. */
export function judgeHand(bag: BagTrack, read: HandRead, coldestC: number): JudgedHand {
  const { lowC, middleC, highC } = bag.estimate.core;
  const { celsius, errorC, coldSpot } = read;
  const model = { leastC: lowC, middleC, mostC: highC };
  const found = creditedCore(model, { celsius, errorC, coldSpot }, coldestC);
  const lowered = found.from === 'probe' && found.celsius < lowC;
  const raised = found.from === 'probe' && found.celsius > lowC;
  const now: HandReading = {
    atMs: read.atMs,
    celsius,
    by: read.by,
    effect: lowered ? 'lowered' : raised ? 'raised' : 'none',
    flags: found.flags,
    ...holdBy(found, lowC),
    floorC: raised ? found.celsius : null,
  };
  const takenBack = takesBack({ celsius, errorC }, lowC, disprovedBy(bag));
  return { hand: afterEarlier(bag.hand, now, coldSpot !== null), takenBack };
}

/** What earlier readings had already disproved the model to. */
function disprovedBy({ hand, wired }: BagTrack): (CoreHold | null)[] {
  return [hand?.capC == null ? null : hand, wired?.proved ? wired : null];
}

/**
 * What bears on the credit after a further reading: what an earlier one lowered stays lowered until somebody has searched
 * the cold spot and read there what meat can have. A thermometer in the water must not give the credit back.
 */
function afterEarlier(earlier: HandReading | null, now: HandReading, searched: boolean): HandReading {
  if (earlier === null || (searched && heardInMeat(now.flags))) return now;
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

/** An estimate without the credit that a reading took back. */
export function anew(estimate: BagEstimate): BagEstimate {
  return { ...estimate, track: withoutCredit(estimate.track) };
}

/** An estimate with the credit of an earlier one and its holds broken: between the two nothing could be credited. */
export function withCreditOf(estimate: BagEstimate, earlier: BagEstimate): BagEstimate {
  const lethality = earlier.track.worst.lethality.map(interruptLethality);
  const { track } = estimate;
  return { ...estimate, track: { ...track, worst: { ...track.worst, lethality } } };
}

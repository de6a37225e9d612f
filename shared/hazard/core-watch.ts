import { type ColdSpotRecord, creditedCore, heardInMeat } from '../food/measured.ts';
import {
  boundBy,
  type CoreHold,
  followProbe,
  heldCore,
  type MeasuredCore,
  type ProbeHold,
  settleDisproof,
} from './core-hold.ts';
import { startLethality } from './lethality.ts';
import { standardById } from './standards/index.ts';
import type { Track } from './track.ts';
import { creditTrack, stepTrack, type WaterStretch } from './track-step.ts';
import { trackCore } from './track-view.ts';

/** What a probe in the piece has said of it so far. Plain data. */
export interface CoreWatch {
  /** Its last reading as it was judged; null where there was no probe. */
  readonly measured: MeasuredCore | null;
  readonly hold: ProbeHold | null;
  /** When it last gave a reading that meat cannot have, caller's clock, s: a cold spot searched before is worth nothing since. */
  readonly doubtedAtS: number | null;
}

/** Nobody has put a probe in. */
export const NO_WATCH: CoreWatch = { measured: null, hold: null, doubtedAtS: null };

/** A core read by hand, as it bears on the credit of a stretch. */
export interface HandBound extends CoreHold {
  /** The core cannot have been colder than this, C; null where nothing says so. */
  readonly floorC: number | null;
}

/** What is known of the piece at the end of a stretch, beside the water. */
export interface CoreSeen {
  /** The probe there, C: null where it does not answer; undefined where there is none. */
  readonly celsius: number | null | undefined;
  readonly coldSpot: ColdSpotRecord | null;
  /** The coldest that the food or its water has been, C. */
  readonly coldestC: number;
  /** A reading by hand that bears on the credit; null where none does. */
  readonly byHand: HandBound | null;
  /** The caller's clock, s (of the cold spot's record), and the wall's, ms. */
  readonly clockS: number;
  readonly wallMs: number;
}

/**
 * Carries a bag through one stretch of water with all that was measured in the piece: the one way from readings of the
 * core to the credit of heat, for a cook under way and for a log alike. A reading lowers the credit at once; what it
 * lowered stays lowered when the probe falls silent; one that disproves the model takes back what was earned (takesBack).
 */
export function stepWatched(
  track: Track,
  watch: CoreWatch,
  water: WaterStretch,
  seen: CoreSeen,
): { readonly track: Track; readonly watch: CoreWatch; readonly takenBack: boolean } {
  const plain = stepTrack(track, water);
  const { celsius, byHand } = seen;
  if (celsius === undefined && byHand === null && watch.hold === null) {
    return { track: plain, watch: { ...watch, measured: null }, takenBack: false };
  }
  const { lowC: fromC } = trackCore(track);
  const { lowC: toC } = trackCore(plain);
  const measured = celsius === undefined ? null : judgeCore(plain, watch, celsius, seen);
  const at = {
    clockS: seen.clockS,
    wallMs: seen.wallMs,
    lowC: toC,
    errorC: track.setup.probeErrorC,
    coldSpot: standingSpot(watch, seen.coldSpot),
    byHand: byHand?.capC === null ? null : byHand,
  };
  const { hold, takenBack } = settleDisproof(followProbe(watch.hold, measured, at), seen.clockS);
  const credited = creditedAlong({ fromC, toC }, [watch.measured, measured], byHand, [watch.hold, hold]);
  const after = creditTrack(track, plain, water, credited);
  const doubted = measured !== null && !heardInMeat(measured.flags);
  const doubtedAtS = doubted ? seen.clockS : watch.doubtedAtS;
  const kept = { measured, hold, doubtedAtS };
  return { track: takenBack ? withoutCredit(after) : after, watch: kept, takenBack };
}

/** Judges a probe's reading, C or null, against what the model says of the piece now. */
export function judgeCore(
  track: Track,
  watch: CoreWatch,
  celsius: number | null,
  seen: Pick<CoreSeen, 'coldSpot' | 'coldestC'>,
): MeasuredCore {
  const { lowC, middleC, highC } = trackCore(track);
  const reading = { celsius, errorC: track.setup.probeErrorC, coldSpot: standingSpot(watch, seen.coldSpot) };
  const found = creditedCore({ leastC: lowC, middleC, mostC: highC }, reading, seen.coldestC);
  return { celsius, creditedC: found.celsius, fromProbe: found.from === 'probe', flags: found.flags };
}

/** The record of a cold spot as far as it still stands: once the probe was seen not to be in the meat, it must be searched anew. */
export function standingSpot(
  { doubtedAtS }: CoreWatch,
  coldSpot: ColdSpotRecord | null,
): ColdSpotRecord | null {
  return coldSpot === null || (doubtedAtS !== null && coldSpot.atS <= doubtedAtS) ? null : coldSpot;
}

interface Ends {
  readonly fromC: number;
  readonly toC: number;
}
type Pair<T> = readonly [before: T | null, after: T | null];

function creditedAlong(
  model: Ends,
  [before, now]: Pair<MeasuredCore>,
  byHand: HandBound | null,
  holds: Pair<ProbeHold>,
): Ends {
  const both = before !== null && now !== null;
  const heard = both && (before.fromProbe || now.fromProbe);
  const core = heard ? { fromC: before.creditedC, toC: now.creditedC } : model;
  const [fromHold, toHold] = both ? [boundBy(holds[0], before), boundBy(holds[1], now)] : holds;
  const bounded = (celsius: number, leastC: number, hold: CoreHold | null) => {
    const hand = byHand === null ? celsius : boundedCore(byHand, celsius);
    return hold === null ? hand : Math.min(hand, heldCore(hold, leastC));
  };
  return {
    fromC: bounded(core.fromC, model.fromC, fromHold),
    toC: bounded(core.toC, model.toC, toHold),
  };
}

/** The core to credit heat by after a reading by hand, C, given the coldest that is allowed without it. */
function boundedCore(hand: HandBound, leastC: number): number {
  return Math.max(heldCore(hand, leastC), hand.floorC ?? Number.NEGATIVE_INFINITY);
}

/** Credit begun anew: the model that earned it was proved too fast by a reading. */
export function withoutCredit(track: Track): Track {
  const lethality = track.setup.standardIds.map((id) => startLethality(standardById(id)));
  return { ...track, worst: { ...track.worst, lethality } };
}

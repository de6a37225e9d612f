import { type Cut, cutById } from '../../../shared/food/cuts.ts';
import { filmFor } from '../../../shared/food/film.ts';
import { type CoreSeen, type CoreWatch, NO_WATCH, stepWatched } from '../../../shared/hazard/core-watch.ts';
import { type LethalityState, lesserLethality, startLethality } from '../../../shared/hazard/lethality.ts';
import type { Breach } from '../../../shared/hazard/limits.ts';
import { chooseStandard } from '../../../shared/hazard/standards/choose.ts';
import { standardById } from '../../../shared/hazard/standards/index.ts';
import { startTrack, type Track } from '../../../shared/hazard/track.ts';
import { trackCore } from '../../../shared/hazard/track-view.ts';
import { addTender, startTender, type TenderState } from '../../../shared/tender/kinetics.ts';
import type { BagSpec, Lies } from '../../../shared/wire/command.ts';

/** What of the rig matters to the food. Plain data. */
export interface Surroundings {
  readonly circulation: 'pumped' | 'still';
  readonly probeErrorC: number;
  readonly profileId: string;
}

/** What one bag has been through, as plain data. */
export interface BagEstimate {
  readonly track: Track;
  /** Softening along the middle core. */
  readonly tender: TenderState;
  readonly core: CoreNow;
}

/** The core at this moment, degrees C: middle, and the coldest and hottest it may be. */
export interface CoreNow {
  readonly middleC: number;
  readonly lowC: number;
  readonly highC: number;
}

/** A measured stretch of water: `gap` where nothing was measured between its two ends. */
export interface Stretch {
  readonly fromC: number;
  readonly toC: number;
  readonly seconds: number;
  /** Clock of the caller at its end, in seconds. */
  readonly atS: number;
  readonly gap: boolean;
}

/** A bag at the moment it goes in. The standard the food is judged by is the first of the track's. */
export function startEstimate(spec: BagSpec, cut: Cut, around: Surroundings): BagEstimate {
  const chosen = chooseStandard(cut);
  const track = startTrack({
    cut,
    thicknessMm: spec.thicknessMm,
    beta: spec.beta,
    startC: spec.startC,
    film: filmFor({ circulation: around.circulation, waterC: USUAL_WATER_C }),
    standardIds: [chosen.primary.id, ...chosen.others.slice(0, SHOWN_BESIDE).map((one) => one.id)],
    profileId: around.profileId,
    species: cut.species,
    roast: cut.family === 'red-meat' && !cut.ground,
    probeErrorC: around.probeErrorC,
  });
  return { track, tender: startTender(), core: trackCore(track) };
}

/** Most cooks are held near it, degrees C; what is sought is only how much of the resistance is the film's. */
const USUAL_WATER_C = 65;

/** Standards followed beside the one the food is judged by. */
const SHOWN_BESIDE = 3;

/** A bag after a stretch, with what was measured in the piece. */
export interface Advanced {
  readonly estimate: BagEstimate;
  readonly watch: CoreWatch;
  /** A reading took back what had been earned. */
  readonly takenBack: boolean;
}

/** Carries a bag through one stretch of water, as it lies; nobody measures in the piece. */
export function advance(
  estimate: BagEstimate,
  water: Stretch,
  circulation: Surroundings['circulation'],
  lies: Lies,
): BagEstimate {
  return advanceWatched(estimate, NO_WATCH, water, circulation, lies, NOTHING_SEEN).estimate;
}

const NOTHING_SEEN: CoreSeen = {
  celsius: undefined,
  coldSpot: null,
  coldestC: Number.NaN,
  byHand: null,
  clockS: 0,
  wallMs: 0,
};

/** The same with what was measured in the piece, now and before. */
export function advanceWatched(
  estimate: BagEstimate,
  watch: CoreWatch,
  water: Stretch,
  circulation: Surroundings['circulation'],
  lies: Lies,
  seen: CoreSeen,
): Advanced {
  if (water.seconds <= 0) return { estimate, watch, takenBack: false };
  const film = filmFor({ circulation, waterC: water.toC, bag: lies });
  const after = stepWatched(estimate.track, watch, { ...water, film, cooling: false }, seen);
  const core = trackCore(after.track);
  const seconds = water.gap ? 0 : water.seconds;
  const tender = addTender(estimate.tender, estimate.core.middleC, core.middleC, seconds);
  return {
    estimate: { track: after.track, tender, core },
    watch: after.watch,
    takenBack: after.takenBack,
  };
}

/** How many limits were broken, both lanes together; cheap enough for each second. */
export function breachCount({ track }: BagEstimate): number {
  const [first, second] = track.worst.limits;
  return first.breaches.length + second.breaches.length;
}

/** Every limit that was broken in the worst case, in either lane; the same limit may stand in both. */
export function breachesOf(estimate: BagEstimate): readonly Breach[] {
  return estimate.track.worst.limits.flatMap((lane) => lane.breaches);
}

/**
 * A bag described anew keeps what is against it: limits broken under the earlier description stay broken, and where a
 * probe or a reading by hand has told of the piece, the lower lethality stands.
 */
export function keepAgainst(before: BagEstimate, after: BagEstimate, probeSeen: boolean): BagEstimate {
  const [first, second] = after.track.worst.limits;
  const known = new Set(breachesOf(after).map((breach) => breach.limit));
  const kept = breachesOf(before).filter((breach) => !known.has(breach.limit) && known.add(breach.limit));
  const lethality = probeSeen ? lowerOfBoth(before, after) : after.track.worst.lethality;
  const limits = [{ ...first, breaches: [...kept, ...first.breaches] }, second] as const;
  return { ...after, track: { ...after.track, worst: { ...after.track.worst, lethality, limits } } };
}

/** Standard by standard the lower credit; one that was not followed before begins anew, for what it would have lost is not known. */
function lowerOfBoth(before: BagEstimate, after: BagEstimate): LethalityState[] {
  const { setup, worst } = before.track;
  const earlier = new Map(setup.standardIds.map((id, i) => [id, worst.lethality[i]]));
  return after.track.worst.lethality.map((state, i) => {
    const id = after.track.setup.standardIds[i]!;
    const known = earlier.get(id);
    return known ? lesserLethality(state, known) : startLethality(standardById(id));
  });
}

/** When the standard the food is judged by was met on the slowest case, caller's clock: by its words, else by the integral. */
export function metAtS(estimate: BagEstimate): number | null {
  const primary = estimate.track.worst.lethality[0];
  if (!primary) return null;
  return primary.dwell ? primary.dwell.metAtS : primary.metAtS;
}

/** Lethality of the slowest case under the standard the food is judged by, log10. */
export function leastLog10(estimate: BagEstimate): number {
  return estimate.track.worst.lethality[0]?.log10 ?? 0;
}

/** The cut of a bag whose id was checked when it came in. */
export function cutOf(spec: BagSpec): Cut {
  const cut = cutById(spec.cutId);
  if (!cut) throw new RangeError(`the cut "${spec.cutId}" is not in the tables`);
  return cut;
}

import { type Cut, cutById } from '../../../shared/food/cuts.ts';
import { filmFor } from '../../../shared/food/film.ts';
import { type ColdSpotRecord, type CoreFlag, creditedCore } from '../../../shared/food/measured.ts';
import { type LethalityState, lesserLethality, startLethality } from '../../../shared/hazard/lethality.ts';
import type { Breach } from '../../../shared/hazard/limits.ts';
import { chooseStandard } from '../../../shared/hazard/standards/choose.ts';
import { standardById } from '../../../shared/hazard/standards/index.ts';
import { startTrack, type Track } from '../../../shared/hazard/track.ts';
import { stepTrack } from '../../../shared/hazard/track-step.ts';
import { trackCore } from '../../../shared/hazard/track-view.ts';
import { addTender, startTender, type TenderState } from '../../../shared/tender/kinetics.ts';
import type { BagSpec, Lies } from '../../../shared/wire/command.ts';
import { bears, boundedCore, type HandReading } from './hand.ts';
import { heldCore, type WiredHold } from './wired.ts';

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

/** A probe in the piece this second. */
export interface CoreProbe {
  readonly celsius: number | null;
  readonly coldSpot: ColdSpotRecord | null;
  /** The coldest that the food or its water has been, degrees C. */
  readonly coldestC: number;
}

/** What became of a probe's reading. */
export interface MeasuredCore {
  readonly celsius: number | null;
  readonly creditedC: number;
  readonly fromProbe: boolean;
  readonly flags: readonly CoreFlag[];
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

/**
 * Carries a bag through one stretch of water, as it lies. `measured`: a probe in the piece at both ends; `hand`: a core
 * read by hand that bears on the credit; `held`: what a probe had shown at both ends; null where there is none.
 */
export function advance(
  estimate: BagEstimate,
  water: Stretch,
  circulation: Surroundings['circulation'],
  lies: Lies,
  measured: readonly [before: MeasuredCore, after: MeasuredCore] | null = null,
  hand: HandReading | null = null,
  held: Held = NOT_HELD,
): BagEstimate {
  if (water.seconds <= 0) return estimate;
  const film = filmFor({ circulation, waterC: water.toC, bag: lies });
  const plain = { ...water, film, cooling: false };
  const byProbe = measured && (measured[0].fromProbe || measured[1].fromProbe) ? measured : null;
  let credited = byProbe && { fromC: byProbe[0].creditedC, toC: byProbe[1].creditedC };
  if (bears(hand) || held[0] || held[1]) {
    const model = {
      fromC: estimate.core.lowC,
      toC: trackCore(stepTrack(estimate.track, plain)).lowC,
    };
    const least = credited ?? model;
    credited = bears(hand)
      ? { fromC: boundedCore(hand, least.fromC), toC: boundedCore(hand, least.toC) }
      : least;
    credited = {
      fromC: under(held[0], credited.fromC, model.fromC),
      toC: under(held[1], credited.toC, model.toC),
    };
  }
  const track = stepTrack(estimate.track, credited ? { ...plain, credited } : plain);
  const core = trackCore(track);
  const tender = addTender(
    estimate.tender,
    estimate.core.middleC,
    core.middleC,
    water.gap ? 0 : water.seconds,
  );
  return { track, tender, core };
}

/** What a probe in the piece had shown, as it stood at both ends of a stretch. */
export type Held = readonly [before: WiredHold | null, after: WiredHold | null];

const NOT_HELD: Held = [null, null];

const under = (hold: WiredHold | null, creditedC: number, leastC: number) =>
  hold === null ? creditedC : Math.min(creditedC, heldCore(hold, leastC));

/** Judges a reading from the piece against what the model says of it. */
export function judgeCore(estimate: BagEstimate, probe: CoreProbe): MeasuredCore {
  const { lowC, middleC, highC } = estimate.core;
  const { celsius, coldSpot, coldestC } = probe;
  const errorC = estimate.track.setup.probeErrorC;
  const found = creditedCore(
    { leastC: lowC, middleC, mostC: highC },
    { celsius, errorC, coldSpot },
    coldestC,
  );
  return { celsius, creditedC: found.celsius, fromProbe: found.from === 'probe', flags: found.flags };
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

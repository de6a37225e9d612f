import { type Film, filmFor } from '../../../shared/food/film.ts';
import { holdLimitC } from '../../../shared/hazard/limits.ts';
import { limitProfile } from '../../../shared/hazard/profiles.ts';
import { bridgeTrack, type UnseenStep, worseTrack } from '../../../shared/hazard/track-bridge.ts';
import { trackCore } from '../../../shared/hazard/track-view.ts';
import { addTender } from '../../../shared/tender/kinetics.ts';
import type { BagEstimate } from '../estimate/bag.ts';
import type { BagTrack, TickState } from '../state.ts';
import { type Bands, bandsOf, belowS, blindBands, stepsOf } from './bands.ts';
import type { FoodInWater, Pond } from './cooling.ts';
import { coolingTime, curvesOf, lengthOf, type Room } from './length.ts';
import type { OutageLength, OutageState } from './state.ts';

/** What was found out about a power cut. */
export interface Measured {
  readonly length: OutageLength;
  /** Ways it may have been, each with what the water may have done: every hazard takes its worst of them all. */
  readonly ways: readonly Unwatched[];
  readonly belowHotS: readonly [number, number, number];
}

/** One length that it may have had. */
interface Unwatched {
  readonly steps: readonly UnseenStep[];
  readonly leastS: number;
  readonly middleS: number;
}

/** Specific heat of meat, J/(kg K) (Choi & Okos, lean: about 3500), and food that nobody weighed, kg. */
const MEAT_J_KG_K = 3500;
const USUAL_KG = 1.5;
/** Water that is no warmer than this above the room cools too little to tell a time, degC. */
const TELLS_C = 4;
/** ... and so does a fall that the two temperatures' own error may be. */
const FALL_C = 0.05;

/** Works out how long nobody watched and what the water may have been. `afterC` null: no reading to be had. */
export function measure(state: TickState, outage: OutageState, afterC: number | null): Measured {
  const { before, clockS, log } = outage;
  const { waterC } = before;
  const room: Room = {
    beforeC: before.roomC,
    afterC: state.watch.roomC,
    known: outage.roomKnown,
  };
  const hotC = hotLimitOf(state);
  const tells = afterC !== null && log === null && waterC - room.beforeC > TELLS_C;
  if (!tells) return blind(state, outage, afterC, hotC);
  const curves = curvesOf(pondOf(state, outage), room);
  const watched = outage.waitedS - MEASURED_BACK_S + before.unreadS;
  const cooling = coolingTime(
    curves,
    Math.min(afterC, waterC - FALL_C),
    Math.max(0, watched),
    state.rig.identifiedAtMs !== null,
  );
  const length = lengthOf(clockS, cooling);
  const bandsFor = (pinnedS: number | null) => bandsOf(curves, waterC, afterC, length, pinnedS);
  if (length.verdict !== 'agree') return withBands(bandsFor(null), length, hotC);
  const { leastS, countsS, mostS } = length;
  const lengths = [leastS, (leastS + countsS) / 2, countsS, (countsS + mostS) / 2, mostS];
  const ways = [...new Set(lengths)].map((lastedS) => ({
    steps: stepsOf(bandsFor(lastedS), lastedS),
    leastS: lastedS,
    middleS: lastedS === countsS ? countsS : 0,
  }));
  return { ...withBands(bandsFor(countsS), length, hotC), ways };
}

/** Readings of the last minute belong to its middle, s before its end. */
const MEASURED_BACK_S = 30;

function blind(state: TickState, outage: OutageState, afterC: number | null, hotC: number): Measured {
  const { before, clockS } = outage;
  const told = lengthOf(clockS, null);
  // What happened in rows that are lost earns nothing.
  const length = outage.log === null ? told : { ...told, leastS: 0 };
  const end = afterC ?? before.waterC;
  // Where rows are lost somebody may have had the bath heated to its setpoint meanwhile.
  const warmC = Math.max(
    before.waterC,
    state.watch.roomC,
    outage.log === null ? -99 : (before.setpointC ?? before.waterC),
  );
  const known = afterC !== null && outage.log === null;
  const coldC = known ? end : Math.min(before.waterC, end, state.watch.roomC);
  return withBands(blindBands(before.waterC, end, coldC, warmC, length.countsS), length, hotC);
}

function withBands(bands: Bands, length: OutageLength, hotC: number): Measured {
  return {
    length,
    ways: [{ steps: stepsOf(bands, length.mostS), leastS: length.leastS, middleS: length.countsS }],
    belowHotS: [
      belowS(bands.warm, hotC, length.leastS),
      belowS(bands.middle, hotC, length.countsS),
      belowS(bands.cold, hotC, length.mostS),
    ],
  };
}

/** The bath with what is in it, as it was when the controller went. */
export function pondOf(state: TickState, { before }: OutageState): Pond {
  const food: FoodInWater[] = [];
  for (const bag of state.bags) {
    if (bag.outAtMs !== null) continue;
    const { grids, profiles } = bag.estimate.track;
    food.push({ grid: grids[1], profile: profiles[1]!, heatJK: (bag.spec.massKg ?? USUAL_KG) * MEAT_J_KG_K });
  }
  const { waterC, underwayC, roomC } = before;
  return { waterC, underwayC, food, rig: state.rig, described: state.settings, roomC };
}

/** Hot food must be kept above this under the profile in force, degC. */
export function hotLimitOf({ settings }: TickState): number {
  return holdLimitC(limitProfile(settings.around.profileId), false);
}

/** The quickest and the slowest film that a bag may have had while nobody knows whether the pump ran. */
export function filmsOf(
  lies: BagTrack['lies'],
  waterC: number,
): { readonly quick: Film; readonly slow: Film } {
  const film = (circulation: 'pumped' | 'still'): Film => filmFor({ circulation, waterC, bag: lies });
  return { quick: film('pumped'), slow: film('still') };
}

/** Carries one bag through the power cut. */
export function bridgeBag(bag: BagTrack, { length, ways }: Measured): BagEstimate {
  const { lies, estimate } = bag;
  const waterC = ways[0]?.steps.at(-1)?.middle[1] ?? 50;
  const { quick, slow } = filmsOf(lies, waterC);
  const fromS = bag.carriedS - bag.inAtS;
  const tracks = ways.map((way) => ({
    way,
    track: bridgeTrack(estimate.track, { ...way, countsS: length.countsS, fromS, quick, slow }),
  }));
  const likely = tracks.find(({ way }) => way.middleS > 0)?.track ?? tracks[0]?.track ?? estimate.track;
  const track = tracks.reduce(
    (worst, one) => (one.track === likely ? worst : worseTrack(worst, one.track)),
    likely,
  );
  const core = trackCore(track);
  return {
    track,
    core,
    tender: addTender(estimate.tender, estimate.core.middleC, core.middleC, length.countsS),
  };
}

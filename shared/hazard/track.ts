import { type Grid, makeGrid, startProfile } from '../food/conduction.ts';
import { type EnvelopeAsked, type EnvelopeMember, envelopeMembers, SPREADS } from './envelope.ts';
import { type GrowthState, startGrowth } from './growth.ts';
import { type LethalityState, startLethality } from './lethality.ts';
import { type LimitState, startLimits } from './limits.ts';
import { limitProfile } from './profiles.ts';
import { standardById } from './standards/index.ts';
import { GROWTH_PATHS } from './track-cores.ts';

/** What a bag is judged by; fixed when it goes in. Plain data: names, not records. */
export interface TrackSetup {
  /** Slow, middle, fast. */
  readonly members: readonly [EnvelopeMember, EnvelopeMember, EnvelopeMember];
  /** Largest error of the water probe either way, C. */
  readonly probeErrorC: number;
  /** The first is the one the food is judged by. */
  readonly standardIds: readonly string[];
  readonly profileId: string;
  readonly species: string;
  /** A whole red-meat roast: hot holding may be lower under some profiles. */
  readonly roast: boolean;
}

/** Growth along each of `GROWTH_PATHS` in order, by the two models in turn: integrals of their rates as in `GrowthState`. */
export interface PathGrowth {
  readonly warming: readonly number[];
  readonly cooling: readonly number[];
}

/** One bag under way: three cases of its food, and every hazard of the middle and of the worst. Plain data. */
export interface Track {
  readonly setup: TrackSetup;
  readonly grids: readonly [Grid, Grid, Grid];
  /** Temperatures from core to surface of the slow, the middle and the fast case, C. */
  readonly profiles: readonly (readonly number[])[];
  /** The hottest the middle core has been, C. */
  readonly hottestC: number;
  readonly middle: {
    /** In the order of `setup.standardIds`. */
    readonly lethality: readonly LethalityState[];
    readonly limits: LimitState;
    readonly growth: GrowthState;
  };
  readonly worst: {
    /** Along the coldest that the core may be at each moment. */
    readonly lethality: readonly LethalityState[];
    /** Of food between the slow and the middle case, and between the middle and the fast, probe's error included. */
    readonly limits: readonly [LimitState, LimitState];
    readonly growth: PathGrowth;
  };
}

/** What a track is started from. */
export interface TrackAsked extends EnvelopeAsked {
  readonly standardIds: readonly string[];
  readonly profileId: string;
  readonly species: string;
  readonly roast: boolean;
  /** That of the data sheet unless the probe is calibrated, C. */
  readonly probeErrorC?: number;
  /** Points from core to surface; the solver's default where absent. */
  readonly nodes?: number;
}

const NO_GROWTH: readonly number[] = GROWTH_PATHS.flatMap(() => [0, 0]);

/**
 * A bag at the moment it goes in.
 * Throws a RangeError for an unknown standard or profile, or food that the conduction model does not take.
 */
export function startTrack(asked: TrackAsked): Track {
  const members = envelopeMembers(asked);
  const { standardIds, species, roast, nodes } = asked;
  const grid = (m: EnvelopeMember) => makeGrid(nodes === undefined ? m.body : { ...m.body, nodes });
  const grids: [Grid, Grid, Grid] = [grid(members[0]), grid(members[1]), grid(members[2])];
  const lethality = standardIds.map((id) => startLethality(standardById(id)));
  return {
    setup: {
      members,
      probeErrorC: asked.probeErrorC ?? SPREADS.probeC,
      standardIds,
      profileId: limitProfile(asked.profileId).id,
      species,
      roast,
    },
    grids,
    profiles: members.map((m, i) => startProfile(grids[i]!, m.startC)),
    hottestC: asked.startC,
    middle: { lethality, limits: startLimits(), growth: startGrowth() },
    worst: {
      lethality,
      limits: [startLimits(), startLimits()],
      growth: { warming: NO_GROWTH, cooling: NO_GROWTH },
    },
  };
}

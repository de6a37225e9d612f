import { coreC, stepProfile } from '../../../shared/food/conduction.ts';
import type { Cut } from '../../../shared/food/cuts.ts';
import {
  addLethality,
  interruptLethality,
  type LethalityState,
  startLethality,
} from '../../../shared/hazard/lethality.ts';
import { chooseStandard } from '../../../shared/hazard/standards/choose.ts';
import { standardById } from '../../../shared/hazard/standards/index.ts';
import type { Standard } from '../../../shared/hazard/standards/types.ts';
import type { BagSpec } from '../../../shared/wire/command.ts';
import { FAST, type Member, MIDDLE, membersFor, SLOW } from './members.ts';

/** What one bag has been through, as plain data. */
export interface BagEstimate {
  readonly standardId: string;
  readonly members: readonly Member[];
  /** Of the member that was heated least. */
  readonly lethality: LethalityState;
}

/** A measured stretch of water: `gap` where nothing was measured between its two ends. */
export interface WaterStretch {
  readonly fromC: number;
  readonly toC: number;
  readonly seconds: number;
  /** Clock of the caller at its end, in seconds. */
  readonly atS: number;
  readonly gap: boolean;
}

/** The lethality standard a cut is judged by. */
export function standardFor(cut: Cut): Standard {
  return chooseStandard(cut).primary;
}

/** A bag at the moment it goes in. */
export function startEstimate(spec: BagSpec, cut: Cut): BagEstimate {
  const standard = standardFor(cut);
  return { standardId: standard.id, members: membersFor(spec, cut), lethality: startLethality(standard) };
}

/**
 * Carries a bag through one stretch of water.
 * Across a gap the member heated least is given the colder end throughout and no lethality is credited, for
 * nobody knows what the water did; the member heated most is given the hotter end.
 */
export function advance(estimate: BagEstimate, water: WaterStretch): BagEstimate {
  if (water.seconds <= 0) return estimate;
  const members = estimate.members.map((member, index) => step(member, index, water));
  const standard = standardById(estimate.standardId);
  const lethality = water.gap
    ? interruptLethality(estimate.lethality)
    : addLethality(
        standard,
        estimate.lethality,
        coreC(estimate.members[SLOW]!.profile),
        coreC(members[SLOW]!.profile),
        water.seconds,
        water.atS,
      );
  return { standardId: estimate.standardId, members, lethality };
}

function step(member: Member, index: number, water: WaterStretch): Member {
  const { fromC, toC } = bounded(index, water);
  const surface = { film: member.film, fromC: fromC + member.probeErrorC, toC: toC + member.probeErrorC };
  return { ...member, profile: stepProfile(member.grid, member.profile, surface, water.seconds) };
}

function bounded(index: number, water: WaterStretch): { fromC: number; toC: number } {
  if (!water.gap || index === MIDDLE) return water;
  const celsius = index === FAST ? Math.max(water.fromC, water.toC) : Math.min(water.fromC, water.toC);
  return { fromC: celsius, toC: celsius };
}

/** Core temperatures of the three cases, degC. */
export function cores(estimate: BagEstimate): { coldC: number; coreC: number; hotC: number } {
  return {
    coldC: coreC(estimate.members[SLOW]!.profile),
    coreC: coreC(estimate.members[MIDDLE]!.profile),
    hotC: coreC(estimate.members[FAST]!.profile),
  };
}

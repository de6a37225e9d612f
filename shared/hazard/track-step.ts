import { coreC, stepProfile } from '../food/conduction.ts';
import type { Film } from '../food/film.ts';
import { memberFilm } from './envelope.ts';
import { addGrowth, rateIntegral } from './growth.ts';
import { type GrowthModel, growthModelsFor } from './growth-models.ts';
import { addLethality, interruptLethality, type LethalityState } from './lethality.ts';
import { addLimits, type CoreStep, coreStep, type LimitState, type Phase } from './limits.ts';
import { type LimitProfile, limitProfile } from './profiles.ts';
import { type DzStandard, type Standard, standardById } from './standards/index.ts';
import type { PathGrowth, Track, TrackSetup } from './track.ts';
import { coreOf, FAST, GROWTH_PATHS, MIDDLE, SLOW, spanOf } from './track-cores.ts';

/** A stretch of water, linear between its ends. */
export interface WaterStretch {
  readonly fromC: number;
  readonly toC: number;
  readonly seconds: number;
  /** The caller's clock at its end, s. */
  readonly atS: number;
  readonly film: Film;
  /** Taken out to chill. */
  readonly cooling: boolean;
  /** Nothing was measured between the ends: each case gets the end that is worse for it, and nothing is credited. */
  readonly gap?: boolean;
}

/** The records a setup names. */
export interface Records {
  readonly standards: readonly Standard[];
  /** The same with a published D as much larger as the slow case has it; tables are rules and stand as they are. */
  readonly slower: readonly Standard[];
  readonly profile: LimitProfile;
  /** From here up no limit of the profile counts time while food is hot, C. */
  readonly clearC: number;
  readonly models: readonly [GrowthModel, GrowthModel];
  /** Outside these no model grows, C. */
  readonly growsC: readonly [number, number];
}

const memo = new WeakMap<TrackSetup, Records>();

/** The records that a setup names: looked up once for each setup, for a state that holds only their names. */
export function recordsOf(setup: TrackSetup): Records {
  let found = memo.get(setup);
  if (!found) {
    found = resolve(setup);
    memo.set(setup, found);
  }
  return found;
}

function resolve(setup: TrackSetup): Records {
  const standards = setup.standardIds.map(standardById);
  const factor = setup.members[SLOW].dFactor;
  const profile = limitProfile(setup.profileId);
  const { comeUp, dangerZone, warmBand, hotHold } = profile;
  const models = growthModelsFor(setup.species);
  return {
    standards,
    slower: standards.map((s) => (s.kind === 'dz' ? slowed(s, factor) : s)),
    profile,
    clearC: Math.max(comeUp.highC, dangerZone.highC, warmBand?.highC ?? 0, hotHold.otherC, hotHold.roastC),
    models,
    growsC: [Math.min(models[0].minC, models[1].minC), Math.max(models[0].maxC, models[1].maxC)],
  };
}

function slowed(standard: DzStandard, factor: number): DzStandard {
  const said = `Worst case: D is taken ${factor.toFixed(1)} times the published one.`;
  return {
    ...standard,
    dRefS: standard.dRefS * factor,
    note: [standard.note, said].filter(Boolean).join(' '),
  };
}

/** Carries a bag and all its hazards through a stretch of water. A stretch of no length changes nothing. */
export function stepTrack(track: Track, water: WaterStretch): Track {
  if (!(water.seconds > 0)) return track;
  const profiles = track.profiles.map((profile, i) => stepCase(track, profile, water, i));
  const before = track.profiles.map(coreC);
  const after = profiles.map(coreC);
  const records = recordsOf(track.setup);
  return {
    setup: track.setup,
    grids: track.grids,
    profiles,
    hottestC: Math.max(track.hottestC, after[MIDDLE]!),
    middle: stepMiddle(records, track, before[MIDDLE]!, after[MIDDLE]!, water),
    worst: stepWorst(records, track, before, after, water),
  };
}

/**
 * What a stretch brought, with heat credited along another core than the coldest modelled one (see creditedCore).
 * @param before the track at its start. @param after what stepTrack made of it. @param core C at both ends.
 */
export function creditTrack(
  before: Track,
  after: Track,
  water: WaterStretch,
  core: { readonly fromC: number; readonly toC: number },
): Track {
  if (!(water.seconds > 0)) return after;
  const lethality = kill(recordsOf(before.setup).slower, before.worst.lethality, core, water);
  return { ...after, worst: { ...after.worst, lethality } };
}

/** Through a gap the slow case gets the colder end throughout, the fast case the hotter. */
function stepCase(track: Track, profile: readonly number[], water: WaterStretch, index: number): number[] {
  let { fromC, toC } = water;
  if (water.gap && index !== MIDDLE) {
    fromC = index === SLOW ? Math.min(fromC, toC) : Math.max(fromC, toC);
    toC = fromC;
  }
  const film = memberFilm(track.setup.members[index]!, water.film);
  return stepProfile(track.grids[index]!, profile, { film, fromC, toC }, water.seconds);
}

/**
 * Cooked food is held until it is taken out to chill. For its limits it counts as cooked once its first standard is
 * met by its words or by the integral, whichever is first: the earlier hot holding is judged, the stricter.
 */
export function phaseOf(cooling: boolean, primary: LethalityState | undefined): Phase {
  if (cooling) return 'cooling';
  const met =
    primary && (primary.metAtS !== null || (primary.dwell !== null && primary.dwell.metAtS !== null));
  return met ? 'holding' : 'cooking';
}

/** Carries every standard along a core; through a gap, or where nothing may be credited, their dwells are interrupted. */
export function kill(
  by: readonly Standard[],
  states: readonly LethalityState[],
  core: { fromC: number; toC: number },
  water: WaterStretch,
): readonly LethalityState[] {
  if (water.gap || water.film.noCredit) return states.map(interruptLethality);
  return states.map((s, i) => addLethality(by[i]!, s, core.fromC, core.toC, water.seconds, water.atS));
}

/** Carries every hazard of the middle case along its core. */
export function stepMiddle(
  records: Records,
  track: Track,
  fromC: number,
  toC: number,
  water: WaterStretch,
): Track['middle'] {
  const { standards, profile, models } = records;
  const { lethality, limits, growth } = track.middle;
  const step = coreStep(fromC, toC, water.seconds, water.atS);
  return {
    lethality: kill(standards, lethality, { fromC, toC }, water),
    limits: addLimits(profile, limits, step, phaseOf(water.cooling, lethality[0]), track.setup.roast),
    growth: addGrowth(models, growth, fromC, toC, water.seconds, water.cooling),
  };
}

function stepWorst(
  records: Records,
  track: Track,
  before: readonly number[],
  after: readonly number[],
  water: WaterStretch,
): Track['worst'] {
  const { lethality, limits, growth } = track.worst;
  const error = track.setup.probeErrorC;
  const b = spanOf(before);
  const a = spanOf(after);
  const coldest = { fromC: b.lowC - error, toC: a.lowC - error };
  const phase = phaseOf(water.cooling, lethality[0]);
  const low = Math.min(b.lowC, a.lowC) - error;
  const high = Math.max(b.highC, a.highC) + error;
  // Hot and steady is where a cook spends its night: what cannot change is not worked out again.
  const clear = low >= records.clearC && limits.every((l) => isSettled(l, phase));
  const grows = high > records.growsC[0] && low < records.growsC[1];
  return {
    lethality: kill(records.slower, lethality, coldest, water),
    limits: clear
      ? limits
      : [
          stepLane(records, track, limits[0], SLOW, before, after, water, phase),
          stepLane(records, track, limits[1], FAST, before, after, water, phase),
        ],
    growth: grows ? stepGrowth(records, growth, before, after, error, water) : growth,
  };
}

/** No heat above every band can change these limits any more. */
function isSettled(state: LimitState, phase: Phase): boolean {
  return state.comeUpDoneAtS !== null && (phase === 'cooking' || (phase === 'holding' && state.held));
}

function stepGrowth(
  { models }: Records,
  growth: PathGrowth,
  before: readonly number[],
  after: readonly number[],
  error: number,
  water: WaterStretch,
): PathGrowth {
  const sums = (water.cooling ? growth.cooling : growth.warming).slice();
  for (let i = 0; i < GROWTH_PATHS.length; i++) {
    const path = GROWTH_PATHS[i]!;
    const fromC = coreOf(path, before, error);
    const toC = coreOf(path, after, error);
    sums[2 * i]! += rateIntegral(models[0], fromC, toC, water.seconds);
    sums[2 * i + 1]! += rateIntegral(models[1], fromC, toC, water.seconds);
  }
  return water.cooling ? { ...growth, cooling: sums } : { ...growth, warming: sums };
}

/**
 * Carries the limits of the food between the middle case and an outer one.
 * Time counts when it may be so for any food between the middle case and an outer one; cooling goes by the outer one.
 */
export function stepLane(
  records: Records,
  track: Track,
  state: LimitState,
  outer: number,
  before: readonly number[],
  after: readonly number[],
  water: WaterStretch,
  phase: Phase,
): LimitState {
  const error = track.setup.probeErrorC;
  const [b, a] = [before[outer]!, after[outer]!];
  const [bm, am] = [before[MIDDLE]!, after[MIDDLE]!];
  const step: CoreStep = {
    lower: { from: Math.min(b, bm) - error, to: Math.min(a, am) - error },
    upper: { from: Math.max(b, bm) + error, to: Math.max(a, am) + error },
    slowest: {
      lower: { from: b - error, to: a - error },
      upper: { from: b + error, to: a + error },
    },
    seconds: water.seconds,
    atS: water.atS,
  };
  return addLimits(records.profile, state, step, phase, track.setup.roast);
}

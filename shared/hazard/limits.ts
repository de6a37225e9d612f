import { durationText } from '../units/duration.ts';
import { type Line, secondsInBand, secondsToPass } from './band.ts';
import {
  addCooling,
  type CoolingResult,
  type CoolingState,
  coolAgain,
  coolingResult,
  rewarm,
  startCooling,
} from './cooling.ts';
import type { LimitProfile } from './profiles.ts';

/**
 * Where the food is in its life. `cooking` until its lethality standard is met, `holding` after that while hot,
 * `cooling` once taken out to chill.
 */
export type Phase = 'cooking' | 'holding' | 'cooling';

/** A limit that was exceeded. It stays: later heat destroys neither toxins nor spores. */
export interface Breach {
  readonly limit: 'come-up' | 'warm-band' | 'hot-hold' | 'cooling';
  readonly atS: number;
  readonly words: string;
  readonly source: string;
}

/** Times and limits of one core; plain data, seconds on the caller's clock. */
export interface LimitState {
  /** Total time in the come-up band while heating, every visit counted. */
  readonly comeUpS: number;
  /** When the core first reached the top of the band; null while it has not. */
  readonly comeUpDoneAtS: number | null;
  /** Total time in the danger zone, in every phase. */
  readonly dangerS: number;
  /** Total time in the profile's limited warm band. */
  readonly warmS: number;
  /** True once cooked food has been at the hot-holding temperature. */
  readonly held: boolean;
  readonly belowHoldS: number;
  readonly lowestHoldC: number | null;
  readonly cooling: CoolingState | null;
  readonly breaches: readonly Breach[];
}

/** Food has just gone in; nothing counted. */
export function startLimits(): LimitState {
  return {
    comeUpS: 0,
    comeUpDoneAtS: null,
    dangerS: 0,
    warmS: 0,
    held: false,
    belowHoldS: 0,
    lowestHoldC: null,
    cooling: null,
    breaches: [],
  };
}

/** What the core did in a step: it lay between two straight lines (the same line twice where it is known). */
export interface CoreStep {
  readonly lower: Line;
  readonly upper: Line;
  /** The two lines of the food that cools slowest, for the cooling rules; the lines above where absent. */
  readonly slowest?: { readonly lower: Line; readonly upper: Line };
  readonly seconds: number;
  /** The caller's clock at the end of the step, s. */
  readonly atS: number;
}

/** A step of a core that is known: a straight line from `fromC` to `toC`. */
export function coreStep(fromC: number, toC: number, seconds: number, atS: number): CoreStep {
  const line = { from: fromC, to: toC };
  return { lower: line, upper: line, seconds, atS };
}

/**
 * Carries every limit over a step. `roast`: a whole red-meat roast, for which hot holding may be lower.
 * Where the core is known only between two lines, time counts when it may have been in the band; reaching a
 * temperature counts when it must have been reached. What is not a number counts as time in every band.
 */
export function addLimits(
  profile: LimitProfile,
  state: LimitState,
  step: CoreStep,
  phase: Phase,
  roast: boolean,
): LimitState {
  const { lower, upper, seconds } = step;
  if (!(seconds > 0)) return state;
  const { comeUp, dangerZone, warmBand } = profile;
  const dangerS = secondsInBand(lower, upper, seconds, dangerZone.lowC, dangerZone.highC);
  if (phase === 'cooling') return chill(profile, state, step, dangerS);
  const comeUpS = secondsInBand(lower, upper, seconds, comeUp.lowC, comeUp.highC);
  const warmS = warmBand ? secondsInBand(lower, upper, seconds, warmBand.lowC, warmBand.highC) : 0;
  const cooling = warmed(profile, state.cooling, step, roast);
  // Chilled food on its way up again is not held hot yet.
  const holds = phase === 'holding' && (state.cooling === null || state.cooling.heldAgain === true);
  const hold = holds ? addHold(profile, state, step, roast) : state;
  const comeUpDoneAtS = state.comeUpDoneAtS ?? reachedAt(step, comeUp.highC);
  // Hot and steady is where a cook spends its night: nothing changes, so nothing is made anew.
  const same = hold === state && cooling === state.cooling && comeUpDoneAtS === state.comeUpDoneAtS;
  if (dangerS + comeUpS + warmS === 0 && same) return state;
  const next: LimitState = {
    comeUpS: state.comeUpS + comeUpS,
    comeUpDoneAtS,
    dangerS: state.dangerS + dangerS,
    warmS: state.warmS + warmS,
    held: hold.held,
    belowHoldS: hold.belowHoldS,
    lowestHoldC: hold.lowestHoldC,
    cooling,
    breaches: state.breaches,
  };
  return withBreaches(profile, state, next, step.atS, roast);
}

function warmed(profile: LimitProfile, cooling: CoolingState | null, step: CoreStep, roast: boolean) {
  if (cooling === null) return null;
  const { lower, upper } = step;
  const coldestC = Math.max(lower.from, lower.to);
  return rewarm(
    profile.cooling,
    cooling,
    coldestC,
    Math.max(upper.from, upper.to),
    holdLimitC(profile, roast),
  );
}

/** A step of cooling: its own rules apply, and the come-up clock stands. */
function chill(profile: LimitProfile, state: LimitState, step: CoreStep, dangerS: number): LimitState {
  const cooling = cool(profile, state.cooling, step);
  const known = state.breaches.some((b) => b.limit === 'cooling');
  const broken = known ? null : coolingBreach(profile, cooling, step.atS);
  const breaches = broken ? [...state.breaches, broken] : state.breaches;
  return { ...state, dangerS: state.dangerS + dangerS, cooling, breaches };
}

function reachedAt({ lower, seconds, atS }: CoreStep, celsius: number): number | null {
  if (!(lower.to >= celsius)) return null;
  if (lower.from >= celsius) return atS - seconds;
  return atS - seconds + (secondsToPass(lower.from, lower.to, seconds, celsius) ?? seconds);
}

type Hold = Pick<LimitState, 'held' | 'belowHoldS' | 'lowestHoldC'>;

function addHold(profile: LimitProfile, state: Hold, step: CoreStep, roast: boolean): Hold {
  const limitC = holdLimitC(profile, roast);
  const { lower, seconds } = step;
  if (!state.held) return lower.to >= limitC ? { held: true, belowHoldS: 0, lowestHoldC: null } : state;
  const belowS = secondsInBand(lower, lower, seconds, -300, limitC);
  if (belowS === 0) return state;
  const lowest = Math.min(lower.from, lower.to, state.lowestHoldC ?? limitC);
  return {
    held: true,
    belowHoldS: state.belowHoldS + belowS,
    lowestHoldC: Number.isFinite(lowest) ? lowest : state.lowestHoldC,
  };
}

/** An unknown core has not cooled. */
const HOT: Line = { from: 100, to: 100 };

function cool(profile: LimitProfile, state: CoolingState | null, step: CoreStep): CoolingState {
  const { lower, upper } = step.slowest ?? step;
  const known = [lower.from, lower.to, upper.from, upper.to].every(Number.isFinite);
  const low = known ? lower : HOT;
  const startS = step.atS - step.seconds;
  const begun = state
    ? coolAgain(profile.cooling, state, low.from, startS)
    : startCooling(profile.cooling, low.from, startS);
  return addCooling(profile.cooling, begun, low, known ? upper : HOT, step.seconds, step.atS);
}

/** The hot-holding limit of a profile for this food, C. */
export function holdLimitC(profile: LimitProfile, roast: boolean): number {
  return roast ? profile.hotHold.roastC : profile.hotHold.otherC;
}

const degrees = (celsius: number) => `${celsius.toFixed(1)} C`;

function withBreaches(
  profile: LimitProfile,
  before: LimitState,
  after: LimitState,
  atS: number,
  roast: boolean,
): LimitState {
  const { comeUp, warmBand } = profile;
  const crossed =
    (after.comeUpS > comeUp.limitS && before.comeUpS <= comeUp.limitS) ||
    (warmBand !== null && after.warmS > warmBand.limitS && before.warmS <= warmBand.limitS) ||
    (after.belowHoldS > 0 && before.belowHoldS === 0);
  if (!crossed) return after;
  const found: Breach[] = [];
  if (after.comeUpS > comeUp.limitS && before.comeUpS <= comeUp.limitS) {
    const words = `The core spent more than ${durationText(comeUp.limitS)} in all between ${degrees(comeUp.lowC)} and ${degrees(comeUp.highC)}.`;
    found.push({ limit: 'come-up', atS, words, source: comeUp.source });
  }
  if (warmBand && after.warmS > warmBand.limitS && before.warmS <= warmBand.limitS) {
    const words = `The core spent more than ${durationText(warmBand.limitS)} in all between ${degrees(warmBand.lowC)} and ${degrees(warmBand.highC)}.`;
    found.push({ limit: 'warm-band', atS, words, source: warmBand.source });
  }
  if (after.belowHoldS > 0 && before.belowHoldS === 0) {
    const words = `Cooked food fell below the hot-holding limit of ${degrees(holdLimitC(profile, roast))}.`;
    found.push({ limit: 'hot-hold', atS, words, source: profile.hotHold.source });
  }
  return { ...after, breaches: [...before.breaches, ...found] };
}

/** The breach of a profile's cooling rules by `atS`: of any, or of all where one is enough. Null while there is none. */
export function coolingBreach(profile: LimitProfile, cooling: CoolingState, atS: number): Breach | null {
  const results = coolingResults(profile, cooling, atS);
  const broken = results.filter((r) => r.status === 'broken');
  if (broken.length === 0 || (profile.anyCooling && broken.length < results.length)) return null;
  const first = broken[0]!;
  const late = first.legs.find((l) => l.status === 'broken')!;
  const words = `Cooling from ${degrees(late.fromC)} to ${degrees(late.toC)} took more than ${durationText(late.limitS)} (${first.rule}).`;
  return { limit: 'cooling', atS, words, source: first.source };
}

/** How every cooling rule of the profile stands at `atS`. */
export function coolingResults(profile: LimitProfile, cooling: CoolingState, atS: number): CoolingResult[] {
  return profile.cooling.map((rule, i) => coolingResult(rule, cooling.rules[i]!, atS, cooling.graceS));
}

/** Times and limits for a page, a log or an export; seconds. */
export interface LimitResult {
  readonly comeUpS: number;
  readonly comeUpLimitS: number;
  readonly comeUpDoneAtS: number | null;
  readonly dangerS: number;
  readonly warmS: number;
  readonly held: boolean;
  readonly belowHoldS: number;
  readonly lowestHoldC: number | null;
  /** One for each cooling rule of the profile; null before food is taken out to chill. */
  readonly cooling: readonly CoolingResult[] | null;
  readonly breaches: readonly Breach[];
}

/** Puts a state into numbers at time `atS`. */
export function limitResult(profile: LimitProfile, state: LimitState, atS: number): LimitResult {
  const { cooling, ...rest } = state;
  return {
    ...rest,
    comeUpLimitS: profile.comeUp.limitS,
    cooling: cooling ? coolingResults(profile, cooling, atS) : null,
  };
}

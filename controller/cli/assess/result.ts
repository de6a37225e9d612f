import type { CoolingResult } from '../../../shared/hazard/cooling.ts';
import { type GrowthResult, growthResult } from '../../../shared/hazard/growth.ts';
import { type LethalityResult, lethalityResult } from '../../../shared/hazard/lethality.ts';
import { holdLimitC, type LimitResult, limitResult } from '../../../shared/hazard/limits.ts';
import type { LimitProfile } from '../../../shared/hazard/profiles.ts';
import { recordsOf } from '../../../shared/hazard/track-step.ts';
import { trackVerdicts } from '../../../shared/hazard/track-verdicts.ts';
import { trackCore, trackResult } from '../../../shared/hazard/track-view.ts';
import type { Verdict } from '../../../shared/hazard/verdict.ts';
import { EA_MIDDLE } from '../../../shared/tender/kinetics.ts';
import { moistureLoss } from '../../../shared/tender/moisture.ts';
import { cautionsFor } from './cautions.ts';
import { celsiusOf } from './core.ts';
import { filmAt, filmFrom } from './film.ts';
import type { Asked } from './flags.ts';
import { GAP_RULE } from './gaps.ts';
import type { BathLog } from './log.ts';
import type { Setup } from './setup.ts';
import type { Walk } from './state.ts';

/**
 * Kill by one standard. `metAtS`: when it was first met, s from the first row, null while not: a table by the holding
 * time that it words, D and z by the integral. `equivalentMetAtS`: when the integral reached the target, an equivalent.
 */
export interface KillEntry extends LethalityResult {
  readonly metBy: 'integral' | 'dwell' | null;
  readonly equivalentMetAtS: number | null;
}

/** The come-up clock. `ok` only once the core has arrived within the limit; `status` tells why not. */
export interface ComeUpEntry {
  readonly seconds: number;
  readonly limitS: number;
  readonly ok: boolean;
  readonly status: 'kept' | 'not-yet' | 'broken';
  readonly doneAtS: number | null;
  readonly source: string;
}

/** Cooling by the profile's rules. */
export interface CoolingEntry {
  readonly ok: boolean;
  readonly rules: readonly CoolingResult[];
}

/** Hot holding of cooked food. `ok`: null while the food has not been at the holding temperature. */
export interface HotHoldEntry {
  readonly limitC: number;
  readonly held: boolean;
  readonly belowHoldS: number;
  readonly lowestC: number | null;
  readonly ok: boolean | null;
  readonly source: string;
}

/** Growth of one organism, log10. */
export type GrowthEntry = GrowthResult;

/** What `assess` prints: the middle case, and each hazard's worst under `envelope`. Seconds from the first row, C. */
export interface Assessment {
  readonly core: {
    readonly endC: number;
    readonly maxC: number;
    readonly series?: readonly (readonly [seconds: number, celsius: number])[];
    readonly measured?: { readonly endC: number | null; readonly maxC: number | null };
  };
  readonly lethality: readonly KillEntry[];
  readonly growth: readonly GrowthEntry[];
  readonly comeUp: ComeUpEntry;
  readonly cooling: CoolingEntry | null;
  readonly hotHold: HotHoldEntry;
  readonly dangerZoneS: number;
  readonly tender: {
    readonly equivalentHoursAt70C: number;
    /** Over the activation energies carried side by side, the least and the most. */
    readonly rangeHours: readonly [number, number];
    readonly moistureLossPercent: readonly [number, number, number] | null;
  };
  readonly envelope: {
    readonly lethality: readonly KillEntry[];
    readonly growth: readonly GrowthEntry[];
    readonly comeUp: ComeUpEntry;
    /** The coldest that the core may be, and beside it the hottest. */
    readonly core: {
      readonly endC: number;
      readonly maxC: number;
      readonly hottestEndC: number;
      readonly hottestMaxC: number;
    };
    readonly cooling: CoolingEntry | null;
    readonly hotHold: HotHoldEntry;
    readonly dangerZoneS: number;
    readonly breaches: LimitResult['breaches'];
  };
  readonly repairs: readonly string[];
  readonly cautions: readonly string[];
  readonly verdicts: readonly Verdict[];
  readonly gaps: { readonly rule: string; readonly found: BathLog['gaps'] };
  readonly durationS: number;
  readonly startedAt: string | null;
  readonly log: BathLog['about'];
  readonly inputs: Readonly<Record<string, string | number | null>>;
}

/** Puts a walk through a whole log into the document that is printed. */
export function assessmentOf(
  asked: Asked,
  setup: Setup,
  log: BathLog,
  walk: Walk,
  series: readonly (readonly [number, number])[] | null,
): Assessment {
  const endS = log.seconds.at(-1)!;
  const { standards, profile, models } = recordsOf(walk.track.setup);
  const { middle } = walk;
  const limits = limitResult(profile, middle.limits, endS);
  const endC = celsiusOf(setup.model, walk.core);
  const lethality = standards.map((s, i) => lethalityResult(s, middle.lethality[i]!, endS));
  const growth = growthResult(models, middle.growth);
  return {
    core: {
      endC,
      maxC: middle.maxC,
      ...(series ? { series } : {}),
      ...(log.coreC ? { measured: measuredOf(log.coreC) } : {}),
    },
    lethality: lethality.map(killOf),
    growth: [growth],
    comeUp: comeUpOf(profile, limits),
    cooling: coolingOf(profile, limits),
    hotHold: hotHoldOf(profile, limits, walk.track.setup.roast),
    dangerZoneS: limits.dangerS,
    tender: tenderOf(walk),
    envelope: envelopeOf(walk, endS, { lethality, growth, limits, endC }),
    repairs: log.repairs,
    cautions: [...log.cautions, ...cautionsFor(asked, setup, log, walk)],
    verdicts: trackVerdicts(walk.track, endS),
    gaps: { rule: GAP_RULE, found: log.gaps },
    durationS: endS,
    startedAt: log.startedAt,
    log: log.about,
    inputs: inputsOf(asked, setup, profile),
  };
}

interface MiddleResults {
  readonly lethality: readonly LethalityResult[];
  readonly growth: GrowthResult;
  readonly limits: LimitResult;
  readonly endC: number;
}

/** Each hazard's worst. A brick's own middle case is another model than the envelope's, so it may be the worst itself. */
function envelopeOf(walk: Walk, endS: number, middle: MiddleResults): Assessment['envelope'] {
  const { profile } = recordsOf(walk.track.setup);
  const { worst } = trackResult(walk.track, endS);
  const { lowC, highC } = trackCore(walk.track);
  const limits =
    middle.limits.comeUpS > worst.limits.comeUpS
      ? { ...worst.limits, comeUpS: middle.limits.comeUpS }
      : worst.limits;
  return {
    lethality: worst.lethality.map((result, i) => killOf(lesser(result, middle.lethality[i]!))),
    growth: [worst.growth.log10 >= middle.growth.log10 ? worst.growth : middle.growth],
    comeUp: comeUpOf(profile, limits),
    core: {
      endC: Math.min(lowC, middle.endC),
      maxC: Math.min(walk.coldMaxC, walk.middle.maxC),
      hottestEndC: Math.max(highC, middle.endC),
      hottestMaxC: Math.max(walk.hotMaxC, walk.middle.maxC),
    },
    cooling: coolingOf(profile, limits),
    hotHold: hotHoldOf(profile, limits, walk.track.setup.roast),
    dangerZoneS: Math.max(limits.dangerS, middle.limits.dangerS),
    breaches: limits.breaches,
  };
}

const lesser = (a: LethalityResult, b: LethalityResult) => (b.log10 < a.log10 ? b : a);

function killOf(result: LethalityResult): KillEntry {
  const metAtS = result.dwell ? result.dwell.metAtS : result.metAtS;
  const metBy = metAtS === null ? null : result.dwell ? 'dwell' : 'integral';
  return { ...result, metAtS, metBy, equivalentMetAtS: result.metAtS };
}

function comeUpOf(profile: LimitProfile, limits: LimitResult): ComeUpEntry {
  const { comeUpS, comeUpLimitS, comeUpDoneAtS } = limits;
  const broken = comeUpS > comeUpLimitS;
  const status = broken ? 'broken' : comeUpDoneAtS === null ? 'not-yet' : 'kept';
  return {
    seconds: comeUpS,
    limitS: comeUpLimitS,
    ok: status === 'kept',
    status,
    doneAtS: comeUpDoneAtS,
    source: profile.comeUp.source,
  };
}

function coolingOf(profile: LimitProfile, limits: LimitResult): CoolingEntry | null {
  const rules = limits.cooling;
  if (!rules) return null;
  const met = rules.filter((rule) => rule.status === 'met').length;
  return { ok: profile.anyCooling ? met > 0 : met === rules.length, rules };
}

function hotHoldOf(profile: LimitProfile, limits: LimitResult, roast: boolean): HotHoldEntry {
  const { held, belowHoldS, lowestHoldC } = limits;
  return {
    limitC: holdLimitC(profile, roast),
    held,
    belowHoldS,
    lowestC: lowestHoldC,
    ok: held ? belowHoldS === 0 : null,
    source: profile.hotHold.source,
  };
}

function tenderOf({ middle: { tender } }: Walk): Assessment['tender'] {
  const loss = moistureLoss(tender);
  return {
    equivalentHoursAt70C: tender.hours[EA_MIDDLE]!,
    rangeHours: [Math.min(...tender.hours), Math.max(...tender.hours)],
    moistureLossPercent: loss ? [loss.lowPercent, loss.middlePercent, loss.highPercent] : null,
  };
}

function measuredOf(coreC: readonly number[]): { endC: number | null; maxC: number | null } {
  const known = coreC.filter(Number.isFinite);
  return {
    endC: known.at(-1) ?? null,
    maxC: known.length === 0 ? null : known.reduce((a, b) => Math.max(a, b)),
  };
}

/** What the result rests on, given or taken. */
function inputsOf(asked: Asked, setup: Setup, profile: LimitProfile): Assessment['inputs'] {
  const given = (value: unknown, otherwise: string) => (value === undefined ? otherwise : 'given');
  const food = asked.cut ? `composition of ${asked.cut.name}` : 'usual meat';
  return {
    shape: asked.shapeText,
    beta: setup.beta,
    thicknessMm: asked.thicknessMm,
    startC: asked.startC,
    cut: asked.cut?.id ?? null,
    diffusivity: setup.diffusivity,
    diffusivityFrom: given(asked.diffusivity, food),
    conductivity: setup.conductivity,
    conductivityFrom: given(asked.conductivity, food),
    film: filmAt(setup.film, setup.usualWaterC).middle,
    filmFrom: filmFrom(setup.film),
    standards: setup.why,
    profile: profile.name,
  };
}

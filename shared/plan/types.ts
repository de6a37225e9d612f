/** What a plan is made from and what it is. Plain data: survives JSON, runs in the page and on the command line. */
import type { BagDecision, BagStep } from '../bag/steps.ts';
import type { Cure, CureMethod } from '../cure/cure.ts';
import type { Belief } from '../tender/belief.ts';
import type { Endpoint } from '../tender/classes.ts';
import type { Rig, RigAnswer } from './rig.ts';
import type { Night } from './zone.ts';

/** Temperatures a dish can be cooked at, C. */
export interface BathRange {
  readonly lowC: number;
  readonly wantedC: number;
  readonly highC: number;
}

/** Curing salt with nitrite, weighed for all pieces of a dish together. */
export interface CureNitrite {
  readonly curingSaltG: number;
  /** Share of nitrite in it: 0.0625 for 6.25 %. */
  readonly nitriteFraction: number;
}

/** A cure as the plan wants it. */
export interface CureWanted {
  readonly method: CureMethod;
  readonly saltPercent: number;
  readonly sugarRatio: number;
  readonly wantedS: number;
  /** Spices by weight: percent of the raw weight, the middle of what is usual where none is said. */
  readonly aromatics?: readonly { readonly id: string; readonly percent?: number | undefined }[];
  /** Off unless somebody asked for it. */
  readonly nitrite?: CureNitrite | null;
}

/** One dish: equal pieces of one cut, each in a bag of its own. */
export interface Dish {
  readonly dishId: string;
  readonly name: string;
  readonly cutId: string;
  readonly piecesCount: number;
  readonly pieceKg: number;
  readonly thicknessMm: number;
  /** 0 slab, 1 cylinder, 2 sphere. */
  readonly betaRatio: number;
  readonly endpoint: Endpoint;
  readonly startC: number;
  readonly cure: CureWanted | null;
  readonly bath: BathRange;
}

/** From the bath to the table, or cooked before, chilled, and made hot again. */
export type ServeFrom = 'bath' | 'fridge';

/** Everything a plan is made from, complete. */
export interface Job {
  readonly nowMs: number;
  readonly serveByMs: number;
  readonly zone: string;
  readonly oddsFraction: number;
  readonly peopleCount: number | null;
  readonly dishes: readonly Dish[];
  readonly rig: Rig;
  /** Asked for by the cook; null: the plan chooses. */
  readonly bathC: number | null;
  readonly profileId: string;
  readonly night: Night | null;
  readonly serveFrom: ServeFrom;
  readonly fridgeC: number;
  readonly airMlPerKg: number;
  /** What this kitchen has learned of a class of cuts; the prior where absent. */
  readonly beliefs: Readonly<Record<string, Belief>>;
}

/** Something nobody said, and what was taken instead. */
export interface Default {
  readonly field: string;
  readonly value: string;
  readonly why: string;
  readonly source: string;
}

/** `person`: to be done at a chosen time. `physics`: will happen, within its band. `odds`: may have happened. */
export type StepWho = 'person' | 'physics' | 'odds';

/** What a step is about. */
export type StepKind =
  | 'cure'
  | 'rinse'
  | 'bag'
  | 'bath-on'
  | 'bath-hot'
  | 'food-in'
  | 'look'
  | 'come-up'
  | 'safe'
  | 'top-up'
  | 'fork-test'
  | 'ready'
  | 'latest-start'
  | 'out'
  | 'chill'
  | 'chilled'
  | 'store'
  | 'reheat'
  | 'hot-again'
  | 'rest'
  | 'brown'
  | 'plate';

/** One step of the timeline. Keys of `amounts` end in their unit. */
export interface Step {
  readonly id: string;
  readonly kind: StepKind;
  readonly who: StepWho;
  readonly dishIds: readonly string[];
  readonly title: string;
  readonly atMs: number;
  /** Physical steps: 99 % lie within. Null for what a person does at a chosen time. */
  readonly bandMs: readonly [number, number] | null;
  readonly amounts: Readonly<Record<string, number | string>>;
  readonly how: string;
  readonly why: string;
  readonly source: string;
  readonly cautions: readonly string[];
  /** Falls in the night. */
  readonly night: boolean;
  /** Known to be done or past, from what was measured. */
  readonly done: boolean;
}

/** When a dish is likely ready. */
export interface ReadySpan {
  readonly p10Ms: number | null;
  readonly p25Ms: number | null;
  readonly p50Ms: number | null;
  readonly p75Ms: number | null;
  readonly p90Ms: number | null;
  /** 10 to 90 % over the middle, both counted from when the food went in. */
  readonly spanRatio: number | null;
}

/** An event with its 99 % band; null where it does not come. */
export interface Banded {
  readonly atMs: number;
  readonly bandMs: readonly [number, number];
}

/** How one dish fares in this plan. */
export interface DishPlan {
  readonly dishId: string;
  readonly bagIds: readonly string[];
  readonly foodInMs: number;
  readonly outMs: number;
  readonly ready: ReadySpan;
  readonly oddsFraction: number;
  /** Chance of having gone on to the next endpoint when it comes out; null where there is none. */
  readonly overdoneFraction: number | null;
  readonly comeUp: Banded | null;
  /** Worst case of the time in the come-up band, and its limit. */
  readonly comeUpWorstS: number;
  readonly comeUpLimitS: number;
  /** Core safe by its standard; null: not within the plan. */
  readonly safe: Banded | null;
  readonly safeRule: string;
  readonly latestSafeStartMs: number | null;
  readonly latestSafeStartOddsFraction: number | null;
  readonly moistureLowPercent: number | null;
  readonly moistureHighPercent: number | null;
  readonly cure: Cure | null;
  /** One of its bags. */
  readonly bag: {
    readonly ballastTakeKg: number;
    readonly growthRatio: number;
    readonly floatsFromMl: number;
    readonly steps: readonly BagStep[];
  };
  readonly juiceKg: number | null;
  readonly juiceSaltPercent: number | null;
}

/** Cold food going into a bath in which other food already is. */
export interface Addition {
  readonly dishId: string;
  readonly atMs: number;
  /** By sharing heat alone, heater off: the most it can fall. */
  readonly dipMostC: number;
  /** As computed with the heater at work. */
  readonly dipC: number;
  readonly lowestC: number;
  readonly backAtMs: number | null;
  /** Dishes already in that this cools, and whose come-up clock begins again. */
  readonly restartsDishIds: readonly string[];
  readonly words: string;
  readonly source: string;
}

/** A dish that cannot share this bath, and what can be done. */
export interface Conflict {
  readonly dishId: string;
  readonly why: string;
  readonly offers: readonly string[];
}

/** Another way, when the odds cannot be met or somebody would have to get up. `change` is what to ask for instead. */
export interface Offer {
  readonly id: string;
  readonly words: string;
  readonly change: {
    readonly bathC?: number;
    readonly thicknessMm?: number;
    readonly serveByMs?: number;
    readonly serveFrom?: ServeFrom;
    readonly filmId?: string;
    readonly fillC?: number;
    readonly lidOn?: boolean;
    readonly waterLitres?: number;
    /** null: steps may fall in the night. */
    readonly night?: null;
  };
  /** Chance that everything is ready; null where it is not a matter of odds. */
  readonly oddsFraction: number | null;
}

/** A nudge in time, by the alarm channels at low priority. */
export interface Reminder {
  readonly stepId: string;
  readonly atMs: number;
  readonly priority: 'low';
  readonly text: string;
  /** In the night, and only because the job needs it then. */
  readonly nightNeeded: boolean;
}

/** Whether the plan does what was asked; `not-safe` and `rig-cannot` come without steps. */
export type PlanStatus = 'odds-met' | 'odds-short' | 'not-safe' | 'rig-cannot';

/** A plan. Plain data; every number has its unit in its name. */
export interface Plan {
  readonly madeAtMs: number;
  readonly serveByMs: number;
  readonly zone: string;
  readonly status: PlanStatus;
  readonly words: string;
  readonly bathC: number;
  readonly bathWhy: string;
  readonly oddsWantedFraction: number;
  /** All dishes together, taken as independent. */
  readonly oddsFraction: number;
  readonly steps: readonly Step[];
  readonly dishes: readonly DishPlan[];
  readonly additions: readonly Addition[];
  readonly conflicts: readonly Conflict[];
  readonly offers: readonly Offer[];
  readonly reminders: readonly Reminder[];
  readonly decisions: readonly BagDecision[];
  readonly rig: RigAnswer;
  readonly room: {
    readonly pourLitres: number;
    readonly levelMm: number;
    /** Food stays wholly under this, seams above that, mm over the floor. */
    readonly lowestPredictedMm: number;
    readonly seamAboveMm: number;
    readonly mostBagsCount: number;
    readonly faults: readonly string[];
    readonly tooSmall: string | null;
  };
  readonly defaults: readonly Default[];
  readonly cautions: readonly string[];
  readonly job: Job;
}

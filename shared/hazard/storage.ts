import type { CoolingResult } from './cooling.ts';
import { COLD_HOLD_C, type LimitProfile } from './profiles.ts';
import { DEFER } from './verdict.ts';

const DAY_S = 86_400;
/** 34 F, the cold store of Food Code 3-502.12(D)(2)(e)(i). */
const COLD_STORE_C = 10 / 9;

/** A way to keep food cooked and chilled in a sealed bag: how cold, how long, counted from packing. */
export interface StorageOption {
  readonly id: string;
  readonly maxC: number;
  readonly forS: number;
  /** True where a written hazard plan and continuous records of the fridge are part of the rule. */
  readonly needsPlan: boolean;
  readonly words: string;
  readonly source: string;
  readonly confirmed: string;
}

/** Reduced-oxygen packaging, Food Code 3-502.12(D) and (F), 2013 and later editions. */
export const STORAGE_OPTIONS: readonly StorageOption[] = [
  {
    id: 'cold-store-30-days',
    maxC: COLD_STORE_C,
    forS: 30 * DAY_S,
    needsPlan: true,
    words: '34 F (1 C) or colder within 48 h of reaching 41 F, at most 30 days from packing',
    source: 'FDA Food Code 3-502.12(D)(2)(e)(i)',
    confirmed: 'seen in a public copy or recomputed',
  },
  {
    id: 'fridge-7-days',
    maxC: COLD_HOLD_C,
    forS: 7 * DAY_S,
    needsPlan: true,
    words: '41 F (5 C) or colder, at most 7 days',
    source: 'FDA Food Code 3-502.12(D)(2)(e)(ii)',
    confirmed: 'from memory, supported by a 2012 committee recommendation',
  },
  {
    id: 'fridge-48-hours',
    maxC: COLD_HOLD_C,
    forS: 2 * DAY_S,
    needsPlan: false,
    words: '41 F (5 C) or colder, labelled with time and date, used or opened within 48 h of packing',
    source: 'FDA Food Code 3-502.12(F)',
    confirmed: 'from memory',
  },
];

/** Victoria (Australia) keeps such food 5 days at most; the conservative profile takes the shorter. */
const CONSERVATIVE_FOR_S = 5 * DAY_S;

/** What is known about food to be kept after chilling. */
export interface StorageAsked {
  /** The results of the profile's cooling rules; null where cooling was not recorded. */
  readonly cooling: readonly CoolingResult[] | null;
  /** Its lethality standard was met; true where nothing is said. */
  readonly cooked?: boolean;
  /** A limit broken earlier in this bag's life. */
  readonly anyBreach: boolean;
  /** The warmest the fridge has been, and whether its record runs without a break; null where nobody measured. */
  readonly fridge: { readonly maxC: number; readonly recorded: boolean } | null;
  /** A written hazard plan for reduced-oxygen packaging is in force here. */
  readonly hasPlan: boolean;
  /** Raw garlic, or raw herbs in oil, sealed in with the food. */
  readonly rawGarlicOrHerbsInOil: boolean;
}

/** How long food may be kept, or why nothing is said. */
export interface StorageAdvice {
  /** Seconds from packing; null: no store-until is given. */
  readonly forS: number | null;
  readonly words: string;
  readonly conditions: readonly string[];
  readonly rule: string;
  readonly source: string;
}

const PLAN_CONDITIONS = [
  'sealed before cooking, or sealed at 57 C or hotter right after',
  'cooled in the sealed bag by the cooling rule',
  'fridge recorded without a break and looked at twice a day',
  'label with the product and the date; records kept 6 months; not sold to others',
];
const SOURCE = 'FDA Food Code 3-502.12';

/**
 * How long sealed, cooked and chilled food may be kept. Says no time without a cooling record that met its rule and
 * a fridge temperature; names raw garlic and herbs in oil.
 */
export function storageAdvice(profile: LimitProfile, asked: StorageAsked): StorageAdvice {
  const refused = refusal(profile, asked);
  if (refused) {
    return {
      forS: null,
      words: `No store-until is given: ${refused}`,
      conditions: [],
      rule: 'Reduced-oxygen packaging',
      source: SOURCE,
    };
  }
  const { maxC, recorded } = asked.fridge!;
  const option = STORAGE_OPTIONS.find(
    (o) => maxC <= o.maxC && (!o.needsPlan || (asked.hasPlan && recorded)),
  )!;
  const short = profile.id === 'conservative' && option.forS > CONSERVATIVE_FOR_S;
  return {
    forS: short ? CONSERVATIVE_FOR_S : option.forS,
    words: short
      ? `At most 5 days from packing: Victoria (Australia) allows no more; the Food Code would allow ${option.words}.`
      : `${option.words}. Frozen food has no such limit.`,
    conditions: option.needsPlan
      ? PLAN_CONDITIONS
      : ['label with time and date of packing', 'or serve today, or freeze'],
    rule: 'Reduced-oxygen packaging',
    source: `${option.source} (${option.confirmed})`,
  };
}

function refusal(profile: LimitProfile, asked: StorageAsked): string | null {
  if (asked.rawGarlicOrHerbsInOil) {
    return 'raw garlic or herbs in oil were sealed in. They carry spores of C. botulinum into a place without air; serve today.';
  }
  if (asked.anyBreach) return `a limit was broken earlier. ${DEFER}`;
  if (asked.cooked === false) return 'its lethality standard was not met, and the rule is for cooked food.';
  if (!asked.cooling) return 'the cooling was not recorded.';
  const met = asked.cooling.filter((c) => c.status === 'met').length;
  const enough = profile.anyCooling ? met > 0 : met === asked.cooling.length;
  if (!enough) {
    const broken = asked.cooling.some((c) => c.status === 'broken');
    return broken ? `the cooling rule was broken. ${DEFER}` : 'cooling is not finished.';
  }
  if (!asked.fridge || !Number.isFinite(asked.fridge.maxC)) return 'no fridge temperature is known.';
  if (asked.fridge.maxC > profile.coldHoldC) {
    return `the fridge has been at ${asked.fridge.maxC.toFixed(1)} C; the limit is ${profile.coldHoldC.toFixed(1)} C.`;
  }
  return null;
}

import { fToC } from '../units/temperature.ts';

/** One leg of a cooling rule: from falling through `fromC` to reaching `toC` within `limitS`. */
export interface CoolingLeg {
  readonly fromC: number;
  readonly toC: number;
  readonly limitS: number;
}

/** A cooling rule as data. */
export interface CoolingRule {
  readonly id: string;
  readonly name: string;
  readonly legs: readonly CoolingLeg[];
  /** A condition beyond time and temperature; null where any food may use it. */
  readonly condition: string | null;
  readonly source: string;
  readonly confirmed: string;
}

const HOUR_S = 3600;
const SEEN = 'seen in a public copy or recomputed';
const leg = (fromF: number, toF: number, hours: number): CoolingLeg => ({
  fromC: fToC(fromF),
  toC: fToC(toF),
  limitS: hours * HOUR_S,
});

/** Food Code 3-501.14(A): 135 to 70 F in 2 h, and to 41 F in 6 h in all. */
export const FOOD_CODE_COOLING: CoolingRule = {
  id: 'food-code-cooling',
  name: 'Food Code 3-501.14(A)',
  legs: [leg(135, 70, 2), leg(135, 41, 6)],
  condition: null,
  source: 'FDA Food Code 3-501.14(A)',
  confirmed: SEEN,
};

/** FSIS Appendix B, the four options. The two for cured meat are listed but never applied here: the core's salt is unknown. */
export const FSIS_COOLING: readonly CoolingRule[] = [
  {
    id: 'fsis-b-1',
    name: 'FSIS Appendix B, option 1',
    legs: [leg(130, 80, 1.5), leg(80, 40, 5)],
    condition: null,
    source: 'USDA FSIS Stabilization Guideline (Revised Appendix B), option 1',
    confirmed: SEEN,
  },
  {
    id: 'fsis-b-2',
    name: 'FSIS Appendix B, option 2',
    legs: [leg(120, 80, 1), leg(80, 55, 5), leg(120, 55, 6)],
    condition: 'chilling begins within 90 min of the end of heating and goes on without a break to 40 F',
    source: 'USDA FSIS Stabilization Guideline (Revised Appendix B), option 2',
    confirmed: SEEN,
  },
  {
    id: 'fsis-b-3',
    name: 'FSIS Appendix B, option 3 (cured)',
    legs: [leg(130, 80, 5), leg(80, 45, 10)],
    condition: 'cured with at least 100 ppm ingoing sodium nitrite; not applied here',
    source: 'USDA FSIS Stabilization Guideline (Revised Appendix B), option 3',
    confirmed: 'from memory: the 45 F end (a public copy says 40 F) and the 100 ppm condition',
  },
  {
    id: 'fsis-b-4',
    name: 'FSIS Appendix B, option 4 (cured)',
    legs: [leg(120, 40, 20)],
    condition: 'cured, with a set brine strength or water activity; not applied here',
    source: 'USDA FSIS Stabilization Guideline (Revised Appendix B), option 4',
    confirmed: 'from memory: that this is option 4',
  },
];

/** A limit in temperature and time with its source. */
export interface BandLimit {
  readonly lowC: number;
  readonly highC: number;
  readonly limitS: number;
  readonly source: string;
}

/** The local rules a kitchen works under, as data; chosen in the configuration and shown on the page. */
export interface LimitProfile {
  readonly id: 'us-food-code' | 'usda-fsis' | 'conservative';
  readonly name: string;
  /** Heating: total time in this band, all visits together. */
  readonly comeUp: BandLimit;
  /** Where bacteria grow; minutes in it are counted, not limited. */
  readonly dangerZone: { readonly lowC: number; readonly highC: number; readonly source: string };
  /** Warm enough to kill but slowly: total time limited; null where the rules know no such limit. */
  readonly warmBand: BandLimit | null;
  /** Hot holding after the food counts as cooked: whole red-meat roasts, and everything else. */
  readonly hotHold: { readonly roastC: number; readonly otherC: number; readonly source: string };
  readonly coldHoldC: number;
  readonly cooling: readonly CoolingRule[];
  /** True: one of the rules is enough. False: every rule must be met. */
  readonly anyCooling: boolean;
  readonly source: string;
}

/** 10 to 54.4 C within 6 h: FSIS-GD-2021-0014, against toxin of S. aureus (at most 2 log of growth). */
const COME_UP: BandLimit = {
  lowC: fToC(50),
  highC: fToC(130),
  limitS: 6 * HOUR_S,
  source: 'USDA FSIS-GD-2021-0014, come-up time: 50 to 130 F within 6 h in all',
};

/** 135 F, where the Food Code holds food hot (3-501.16). */
export const HOT_HOLD_C = fToC(135);
/** 130 F, where the Food Code lets whole roasts be held (3-501.16), and the lowest row of the meat tables. */
export const HOT_HOLD_ROAST_C = fToC(130);
/** 41 F, where the Food Code holds food cold (3-501.16). */
export const COLD_HOLD_C = fToC(41);

const FOOD_CODE_ZONE = {
  lowC: COLD_HOLD_C,
  highC: HOT_HOLD_C,
  source: 'FDA Food Code 3-501.16: 41 to 135 F',
};
const FOOD_CODE_HOLD = {
  roastC: HOT_HOLD_ROAST_C,
  otherC: HOT_HOLD_C,
  source: 'FDA Food Code 3-501.16(A)(1): 135 F, whole roasts cooked by 3-401.11(B) 130 F',
};

/** The profiles a kitchen can choose from; the conservative one is the default. */
export const LIMIT_PROFILES: readonly LimitProfile[] = [
  {
    id: 'conservative',
    name: 'Conservative: the stricter of every rule known here',
    comeUp: COME_UP,
    dangerZone: { lowC: fToC(40), highC: fToC(140), source: 'USDA FSIS consumer danger zone: 40 to 140 F' },
    warmBand: {
      lowC: 55,
      highC: 60,
      limitS: 6 * HOUR_S,
      source:
        'Department of Health Victoria (Australia), supplement: 55 to 60 C for at most 6 h in all (summary seen)',
    },
    hotHold: {
      roastC: HOT_HOLD_C,
      otherC: HOT_HOLD_C,
      source: 'FDA Food Code 3-501.16(A)(1): 135 F, without the exception for roasts',
    },
    coldHoldC: fToC(40),
    cooling: [FOOD_CODE_COOLING, FSIS_COOLING[0]!],
    anyCooling: false,
    source: 'the stricter of FDA Food Code 2022, USDA FSIS 2021 and Victoria (Australia), rule by rule',
  },
  {
    id: 'us-food-code',
    name: 'US FDA Food Code 2022',
    comeUp: COME_UP,
    dangerZone: FOOD_CODE_ZONE,
    warmBand: null,
    hotHold: FOOD_CODE_HOLD,
    coldHoldC: COLD_HOLD_C,
    cooling: [FOOD_CODE_COOLING],
    anyCooling: false,
    source: 'FDA Food Code 2022; the come-up limit is from USDA FSIS, the Food Code has none',
  },
  {
    id: 'usda-fsis',
    name: 'USDA FSIS guidelines, revised Appendices A and B (2021)',
    comeUp: COME_UP,
    dangerZone: { lowC: fToC(40), highC: fToC(140), source: 'USDA FSIS: 40 to 140 F' },
    warmBand: null,
    hotHold: FOOD_CODE_HOLD,
    coldHoldC: fToC(40),
    cooling: [FSIS_COOLING[0]!, FSIS_COOLING[1]!],
    anyCooling: true,
    source: 'USDA FSIS-GD-2021-0014 and Stabilization Guideline 2021; hot holding from the Food Code',
  },
];

/**
 * The profile of that id.
 * Throws a RangeError naming those known when there is none.
 */
export function limitProfile(id: string): LimitProfile {
  const found = LIMIT_PROFILES.find((p) => p.id === id);
  if (found) return found;
  throw new RangeError(`No limit profile "${id}"; known are ${LIMIT_PROFILES.map((p) => p.id).join(', ')}.`);
}

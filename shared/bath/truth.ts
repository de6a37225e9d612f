/** What is really so in a simulated bath: for judges of a run, never for a controller. */
import { gridOf } from './bags.ts';
import { bodyMeanC, CENTRE } from './body.ts';
import type { PlantSpec } from './spec.ts';
import type { PlantState } from './state.ts';

export interface BagTruth {
  bagId: string;
  /** centre of the food */
  coreC: number;
  /** coldest and hottest place in it: where the upper side stands out of the water it is not the centre */
  coldestC: number;
  hottestC: number;
  /** underside, against the water */
  surfaceC: number;
  meanC: number;
  afloat: boolean;
  submergedFraction: number;
  gasMl: number;
}

export interface PlantTruth {
  timeS: number;
  /** all the water mixed; then its layers */
  waterC: number;
  topC: number;
  bottomC: number;
  wallC: number;
  elementC: number;
  elementMaxC: number;
  ambientC: number;
  levelMm: number;
  litres: number;
  waterKg: number;
  elementUncovered: boolean;
  /** s with current through a bare element since it was last covered, and the worst such spell of the run */
  uncoveredS: number;
  worstUncoveredS: number;
  heating: boolean;
  boiling: boolean;
  evaporatedKg: number;
  /** electrical energy of the element so far */
  energyJ: number;
  bags: BagTruth[];
}

/** The truth about a simulated bath now. */
export function truth(spec: PlantSpec, state: PlantState): PlantTruth {
  return {
    timeS: state.timeS,
    waterC: spec.bottomShare * state.bottomC + (1 - spec.bottomShare) * state.topC,
    topC: state.topC,
    bottomC: state.bottomC,
    wallC: state.wallC,
    elementC: state.elementC,
    elementMaxC: state.elementMaxC,
    ambientC: state.ambientC,
    levelMm: state.levelMm,
    litres: state.waterLitres,
    waterKg: state.waterKg,
    elementUncovered: state.levelMm < spec.elementTopMm,
    uncoveredS: state.uncoveredHeatedS,
    worstUncoveredS: state.worstUncoveredHeatedS,
    heating: state.heating,
    boiling: state.boiling,
    evaporatedKg: state.sums.evaporatedKg,
    energyJ: state.sums.elementJ,
    bags: state.bags.map((bag) => ({
      bagId: bag.bagId,
      coreC: bag.profile[CENTRE]!,
      coldestC: Math.min(...bag.profile),
      hottestC: Math.max(...bag.profile),
      surfaceC: bag.profile[0]!,
      meanC: bodyMeanC(gridOf(bag), bag.profile),
      afloat: bag.afloat,
      submergedFraction: bag.submergedFraction,
      gasMl: bag.gasMl,
    })),
  };
}

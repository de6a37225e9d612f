import { type Belief, startBelief } from './kalman.ts';
import { type HeatPath, restingPath } from './path.ts';

/** What the configuration says of a rig. */
export interface Described {
  readonly litres: number;
  readonly elementWatts: number;
}

/**
 * What is known of the rig, as plain data. The belief is about temperatures and rates only, since a thermometer shows
 * no joules; `figures.ts` turns it into watts and joules. Its quantities, in order:
 * water temperature (degC), rate at full heat (degC/s), dry loss (1/s), steam loss (degC/s per W/m2 of open water),
 * mean delay of the heat (s), share of the narrow shape in that delay, present wander of the supply (share of the rate).
 */
export interface RigState {
  readonly belief: Belief;
  readonly path: HeatPath;
  readonly beat: Beat;
  readonly last: ClosedBeat | null;
  readonly noise: Noise;
  /** Open water per heat capacity, m2 K/J x 1 degC: what lifting the lid adds to the loss, times W/m2. */
  readonly lid: { readonly mean: number; readonly sd: number };
  /** Heat seen while learning, as the rise it would make without loss, degC. */
  readonly taughtC: number;
  /** Beats in a row that went as expected. */
  readonly calmBeats: number;
  /** Wall clock at which the figures were last good enough to count as identified; null = never. */
  readonly identifiedAtMs: number | null;
  /** Rate at full heat as described, degC/s: what is identified stays within half and twice of it. */
  readonly describedRate: number;
  /** Rate at full heat when the rig was first identified after a fill: what drift is measured against. */
  readonly firstRate: number | null;
}

/** Index of each quantity in the belief. */
export const WATER = 0;
export const RATE = 1;
export const DRY = 2;
export const STEAM = 3;
export const DELAY = 4;
export const NARROW = 5;
export const WANDER = 6;

/** Width of a beat, s: the filter works on means of so many seconds. */
export const BEAT_S = 10;

/** The beat under way. */
export interface Beat {
  readonly number: number;
  readonly sumC: number;
  readonly goodS: number;
  readonly openS: number;
  /** Integrals over the beat of the two shapes and of their change with the delay, s. */
  readonly broadS: number;
  readonly narrowS: number;
  readonly broadPerS: number;
  readonly narrowPerS: number;
}

/** A beat that is over, with what the model said about it. */
export interface ClosedBeat {
  readonly number: number;
  readonly celsius: number | null;
  readonly openS: number;
  readonly broadS: number;
  readonly narrowS: number;
  readonly broadPerS: number;
  readonly narrowPerS: number;
  /** Rise that the heat should have made since the beat before, and fall that the known loss should have, degC. */
  readonly heatC: number;
  readonly lossC: number;
  /** Standard deviation of a beat's mean reading, degC. */
  readonly meanSdC: number;
}

/** Noise of single readings, from what three in a row say. */
export interface Noise {
  readonly oneAgoC: number | null;
  readonly twoAgoC: number | null;
  readonly varianceC2: number;
}

export const EMPTY_BEAT: Omit<Beat, 'number'> = {
  sumC: 0,
  goodS: 0,
  openS: 0,
  broadS: 0,
  narrowS: 0,
  broadPerS: 0,
  narrowPerS: 0,
};

/** Volumetric heat capacity of water near 70 degC, J/(L K) (IAPWS: 977.8 kg/m3 x 4.19 kJ/(kg K)). */
export const WATER_J_PER_L_K = 4097;
/** Wetted wall of a box, m2, from its litres: floor and four sides of a box a quarter of a metre deep. */
const wallM2 = (litres: number) => 0.057 * litres ** (2 / 3);
/** Wall that warms with the water, J/(m2 K): 3 mm of plastic and half its foam (judgement). */
const WALL_J_PER_M2_K = 5000;
/** Metal and filling of an element, J/K a watt of rating (from memory: 0.3 to 1.2). */
const ELEMENT_J_PER_K_W = 0.6;

/** Open water of a box a quarter of a metre deep, m2. */
export const openM2 = (litres: number) => litres / 245;

/** Heat capacity as described, J/K: water, wall, element. */
export function describedJK({ litres, elementWatts }: Described): number {
  return litres * WATER_J_PER_L_K + wallM2(litres) * WALL_J_PER_M2_K + elementWatts * ELEMENT_J_PER_K_W;
}

/**
 * How far the described figures may be off before anything was identified: 40 % either way, taken as two standard
 * deviations of the rate at full heat.
 */
const DESCRIBED_SD = 0.2;
/** Wall and lid, W/(m2 K): from a good cool box (0.5) to a bucket in a towel (4). */
const WALL_U = { mean: 2, sd: 1.6 };
/** Share of the open bath's evaporation that escapes under a lid (judgement: lids save 85 to 98 %). */
const LID_STEAM = { mean: 0.08, sd: 0.07 };
/** Delay of element, plume and probe together, s, and its shape (judgement). */
const DELAY_S = { mean: 50, sd: 25 };
const NARROW_SHARE = { mean: 0.5, sd: 0.25 };
/** The supply wanders by some per cent within minutes (EN 50160 allows 10 % of the voltage): share of the rate. */
export const WANDER_SD = 0.03;
/** Open water as guessed from litres, and the scatter of the evaporation formula (18 %, Shah). */
const OPEN_SD = 0.3;

/** What is known of a rig before its first minute: the description, widened. */
export function describedRig(described: Described): RigState {
  const jk = describedJK(described);
  const rate = described.elementWatts / jk;
  const wall = wallM2(described.litres);
  const open = openM2(described.litres);
  return {
    belief: startBelief(
      [0, rate, (wall * WALL_U.mean) / jk, (open * LID_STEAM.mean) / jk, DELAY_S.mean, NARROW_SHARE.mean, 0],
      [
        10,
        rate * DESCRIBED_SD,
        (wall * WALL_U.sd) / jk,
        (open * LID_STEAM.sd) / jk,
        DELAY_S.sd,
        NARROW_SHARE.sd,
        WANDER_SD,
      ],
    ),
    path: restingPath(DELAY_S.mean),
    beat: { number: -1, ...EMPTY_BEAT },
    last: null,
    noise: { oneAgoC: null, twoAgoC: null, varianceC2: 0.002 },
    lid: { mean: open / jk, sd: (OPEN_SD * open) / jk },
    taughtC: 0,
    calmBeats: 0,
    identifiedAtMs: null,
    describedRate: rate,
    firstRate: null,
  };
}

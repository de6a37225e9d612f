import { type Grid, makeGrid, startProfile } from '../../../shared/food/conduction.ts';
import type { Cut } from '../../../shared/food/cuts.ts';
import { filmFor } from '../../../shared/food/film.ts';
import { thermalProperties } from '../../../shared/food/properties.ts';
import type { BagSpec } from '../../../shared/wire/command.ts';

/** One case of the envelope: a body of food, its film and the probe's error in that case. Plain data. */
export interface Member {
  readonly grid: Grid;
  readonly film: number;
  /** Added to the measured water temperature in this case, degC. */
  readonly probeErrorC: number;
  readonly profile: readonly number[];
}

/** The cases each bag is carried through, coldest first. */
export const SLOW = 0;
export const MIDDLE = 1;
export const FAST = 2;

/**
 * Spreads of the cases, about 95 % either way. Thickness: a tape over a filled bag. Diffusivity: measured meats lie
 * within about 12 % of Choi & Okos (Sweat 1985, in the papers of shared/food). Probe: the DS18B20's +-0.5 degC.
 */
const SPREAD = { thickness: 0.1, diffusivity: 0.12, startC: 2, probeC: 0.5 } as const;
/** Properties are taken at this food temperature, the middle of a cook. */
const PROPERTIES_AT_C = 45;

/** The three cases of a bag: heated least, middle, heated most. */
export function membersFor(spec: BagSpec, cut: Cut): Member[] {
  const food = thermalProperties(cut.composition, PROPERTIES_AT_C);
  const film = filmFor({ circulation: 'pumped', waterC: 65 });
  const still = filmFor({ circulation: 'still', waterC: 65 });
  const build = (sign: -1 | 0 | 1, filmValue: number): Member => {
    const grid = makeGrid({
      thicknessM: (spec.thicknessMm / 1000) * (1 - sign * SPREAD.thickness),
      beta: spec.beta,
      diffusivity: food.diffusivity * (1 + sign * SPREAD.diffusivity),
      conductivity: food.conductivity,
      nodes: NODES,
    });
    const startC = Math.max(-1, spec.startC + sign * SPREAD.startC);
    return { grid, film: filmValue, probeErrorC: sign * SPREAD.probeC, profile: startProfile(grid, startC) };
  };
  return [build(-1, still.low), build(0, film.middle), build(1, film.high)];
}

/** Points from core to surface in the live estimate. */
const NODES = 31;

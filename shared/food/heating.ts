import type { Composition } from './composition.ts';
import type { Cut } from './cut.ts';
import { type ThermalProperties, thermalProperties } from './properties.ts';

/**
 * What the rule for conductivity leaves open, about 95 % either way. Of seven measured meats and fish (ASHRAE
 * table 7) none conducts more than 5 % worse than the rule has it, and one 18 % better.
 */
export const modelSpread = { slower: 0.12, faster: 0.18 } as const;
/** Beside a bone heat comes from one side less and the bone passes less of it (own judgement, no source). */
export const boneSpread = 0.1;

/** Thermal properties of a cut with their spread: heated most slowly, as expected, most quickly. */
export interface HeatingSpread {
  slow: ThermalProperties;
  middle: ThermalProperties;
  fast: ThermalProperties;
}

/** The composition with more (or less) fat, the other parts giving way in proportion. */
function withFat(composition: Composition, fat: number): Composition {
  const rest = (1 - fat) / (1 - composition.fat);
  return {
    water: composition.water * rest,
    protein: composition.protein * rest,
    fat,
    carbohydrate: composition.carbohydrate * rest,
    ash: composition.ash * rest,
  };
}

/**
 * Thermal properties of a cut at a temperature (take the middle of the cook), with spread. The spread adds
 * in squares what the conductivity rule leaves open, the fat of this animal and trim, and the bone.
 * Slow and fast change conductivity and diffusivity together: heat capacity is known far better.
 * @throws RangeError outside -1..150 C.
 */
export function heatingOf(cut: Cut, celsius: number): HeatingSpread {
  const middle = thermalProperties(cut.composition, celsius);
  const at = (fat: number): number =>
    thermalProperties(withFat(cut.composition, Math.max(0, fat)), celsius).diffusivity / middle.diffusivity;
  const fatter = 1 - at(cut.composition.fat + cut.fatSpread);
  const leaner = at(cut.composition.fat - cut.fatSpread) - 1;
  const slower = Math.hypot(modelSpread.slower, fatter, cut.boneIn ? boneSpread : 0);
  const faster = Math.hypot(modelSpread.faster, leaner);
  const scaled = (factor: number): ThermalProperties => ({
    ...middle,
    conductivity: middle.conductivity * factor,
    diffusivity: middle.diffusivity * factor,
  });
  return { slow: scaled(1 - slower), middle, fast: scaled(1 + faster) };
}

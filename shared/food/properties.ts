import { type Component, type Composition, components, normalised } from './composition.ts';

/** Coefficients a, b, c of a + b t + c t2, t in C. */
type Quadratic = readonly [number, number, number];

/** Conductivity W/(m K), density kg/m3 and specific heat kJ/(kg K) of the parts of food. */
interface PartProperties {
  readonly conductivity: Quadratic;
  readonly density: Quadratic;
  readonly specificHeat: Quadratic;
}

/**
 * Choi & Okos (1986), as given in ASHRAE Handbook Refrigeration chapter 9, tables 1 and 2; -40..150 C.
 * Two known traps: the linear term of fat's conductivity is 2.7604e-4 (often misprinted e-3), and water's
 * specific heat is the ASHRAE form, 1 % under IAPWS at 60 C (that heats food 0.6 % too fast, inside the spread).
 */
const parts: Record<Component, PartProperties> = {
  water: {
    conductivity: [0.57109, 1.7625e-3, -6.7036e-6],
    density: [997.18, 3.1439e-3, -3.7574e-3],
    specificHeat: [4.1289, -9.0864e-5, 5.4731e-6],
  },
  protein: {
    conductivity: [0.17881, 1.1958e-3, -2.7178e-6],
    density: [1329.9, -0.5184, 0],
    specificHeat: [2.0082, 1.2089e-3, -1.3129e-6],
  },
  fat: {
    conductivity: [0.18071, -2.7604e-4, -1.7749e-7],
    density: [925.59, -0.41757, 0],
    specificHeat: [1.9842, 1.4733e-3, -4.8008e-6],
  },
  carbohydrate: {
    conductivity: [0.20141, 1.3874e-3, -4.3312e-6],
    density: [1599.1, -0.31046, 0],
    specificHeat: [1.5488, 1.9625e-3, -5.9399e-6],
  },
  fibre: {
    conductivity: [0.18331, 1.2497e-3, -3.1683e-6],
    density: [1311.5, -0.36589, 0],
    specificHeat: [1.8459, 1.8306e-3, -4.6509e-6],
  },
  ash: {
    conductivity: [0.32962, 1.4011e-3, -2.9069e-6],
    density: [2423.8, -0.28063, 0],
    specificHeat: [1.0926, 1.8896e-3, -3.6817e-6],
  },
};

/** Thermal properties of one food at one temperature. */
export interface ThermalProperties {
  densityKgM3: number;
  /** J/(kg K). */
  specificHeat: number;
  /** W/(m K). */
  conductivity: number;
  /** m2/s. */
  diffusivity: number;
}

/** How the parts lie to the flow of heat: the two bounds, and the mean between that measured meat lies near. */
export type Arrangement = 'parallel' | 'series' | 'mean';

const at = (q: Quadratic, celsius: number): number => q[0] + celsius * (q[1] + celsius * q[2]);

/** Properties of one part at a temperature from -1 to 150 C: conductivity W/(m K), density kg/m3, specific heat J/(kg K). */
export function partProperties(
  component: Component,
  celsius: number,
): { conductivity: number; densityKgM3: number; specificHeat: number } {
  if (!(celsius >= -1 && celsius <= 150)) {
    throw new RangeError(`${celsius} C is outside -1 to 150 C, where unfrozen food's properties are known.`);
  }
  const part = parts[component];
  return {
    conductivity: at(part.conductivity, celsius),
    densityKgM3: at(part.density, celsius),
    specificHeat: 1000 * at(part.specificHeat, celsius),
  };
}

/**
 * Density, specific heat, conductivity and diffusivity of a composition.
 * Mixing rules of ASHRAE Refrigeration chapter 9: specific volume and heat by mass; conductivity by volume,
 * parallel = sum v k, series = 1 / sum (v / k), 'mean' = their geometric mean.
 * @throws RangeError outside -1..150 C or for an impossible composition.
 */
export function thermalProperties(
  composition: Composition,
  celsius: number,
  arrangement: Arrangement = 'mean',
): ThermalProperties {
  const fractions = normalised(composition);
  let volume = 0;
  let specificHeat = 0;
  let conducted = 0;
  let resisted = 0;
  for (const name of components) {
    const part = partProperties(name, celsius);
    const share = fractions[name] / part.densityKgM3;
    volume += share;
    specificHeat += fractions[name] * part.specificHeat;
    conducted += share * part.conductivity;
    resisted += share / part.conductivity;
  }
  const parallel = conducted / volume;
  const series = volume / resisted;
  const conductivity =
    arrangement === 'parallel' ? parallel : arrangement === 'series' ? series : Math.sqrt(parallel * series);
  const densityKgM3 = 1 / volume;
  return {
    densityKgM3,
    specificHeat,
    conductivity,
    diffusivity: conductivity / (densityKgM3 * specificHeat),
  };
}

/**
 * A simulated rig in figures: the box, the element, the pump, the room, the probes. Plain data.
 */

/** One temperature probe of the simulated rig. */
export interface ProbeSpec {
  /** time constant in moving water, s */
  lagS: number;
  noiseSdC: number;
  /** width of one digit, C (0.0625 for a 12-bit one-wire sensor); 0 for none */
  stepC: number;
  /** how much it reads high, C */
  offsetC: number;
  /** share of the upper layer in what it feels, 0 to 1 */
  topShare: number;
  /** height of its tip above the floor; above the level it hangs in the headspace */
  heightMm: number;
}

/** Everything fixed about a simulated rig. Live things (lid, pump, faults) are in the state. */
export interface PlantSpec {
  /** water poured in at the start, L */
  litres: number;
  /** straight-sided box: area of the opening and of the floor, m2 */
  openingM2: number;
  /** height at which water runs over, mm above the floor */
  brimMm: number;
  /** bottom and top of the element's heated part, mm above the floor */
  elementBottomMm: number;
  elementTopMm: number;
  /** power at 230 V */
  elementWatts: number;
  /** heat capacity of the element's metal and filling, J/K */
  elementHeatJK: number;
  /** element to water when covered, W/K; with elementHeatJK it makes the element's lag */
  elementFilmWK: number;
  /** element to air when bare, W/K, without radiation */
  elementDryWK: number;
  /** radiating area of the bare element, m2 */
  elementAreaM2: number;
  /** above this a bare element burns through and stays dead, C */
  elementBurnOutC: number;
  /** transport delay between element and the body of the water, s */
  deadTimeS: number;
  /** share of the element's heat that arrives in the upper layer, pump running / still */
  plumeTopShare: number;
  plumeTopShareStill: number;
  /** share of the water in the lower layer */
  bottomShare: number;
  /** exchange between the layers, L/min: pump running; pump off with the lower one warmer; pump off, stable */
  pumpLMin: number;
  overturnLMin: number;
  stillLMin: number;
  /** heat of the running pump that ends in the water, W */
  pumpWatts: number;
  /** wall and floor, water to room, steady state, W/K */
  wallUaWK: number;
  /** water to the inner wall, W/K */
  wallInnerWK: number;
  /** heat capacity of the liner and what of the insulation swings with it, J/K */
  wallHeatJK: number;
  /** through the lid when it is on, W/K */
  lidUaWK: number;
  /** share of the open bath's evaporation that still escapes under the lid */
  lidEvaporationShare: number;
  /** this bath's evaporation over the published rate (the correlation scatters by 18 %) */
  evaporationFactor: number;
  /** air speed over the open bath, m/s; up to 0.15 counts as quiet */
  airSpeedMS: number;
  /** room: mean, half of its daily swing, relative humidity (0 to 1), air pressure */
  ambientC: number;
  ambientSwingC: number;
  relativeHumidity: number;
  airPressureKPa: number;
  /** supply: mean, and standard deviation of its slow wander */
  mainsVolts: number;
  mainsSdVolts: number;
  /** water to bag film coefficient, W/(m2 K), pump running / still */
  bagFilm: number;
  bagFilmStill: number;
  /** independent manual-reset cut-out opens at, C; null for none fitted */
  cutOutC: number | null;
  /** level switch height, mm; null for none fitted */
  levelSwitchMm: number | null;
  probes: { bath: ProbeSpec; second: ProbeSpec; core: ProbeSpec; ambient: ProbeSpec };
}

/** A one-wire probe in a thin steel sleeve; lag and noise from memory, step after its data sheet (12 bit). */
function oneWire(heightMm: number, topShare: number, offsetC: number): ProbeSpec {
  return { lagS: 6, noiseSdC: 0.03, stepC: 0.0625, offsetC, topShare, heightMm };
}

/**
 * The demo rig: the refuge kitchen's 28 L cool box (28 L to the brim, 21 L poured in, 7 L left for the food),
 * a 1 kW element and a circulation pump, at 1900 m above the sea, where water boils at 93.6 C.
 */
export function hutSpec(): PlantSpec {
  return {
    litres: 21,
    openingM2: 0.1,
    brimMm: 280,
    elementBottomMm: 30,
    elementTopMm: 90,
    elementWatts: 1000,
    elementHeatJK: 600,
    elementFilmWK: 40,
    elementDryWK: 0.6,
    elementAreaM2: 0.02,
    elementBurnOutC: 850,
    deadTimeS: 8,
    plumeTopShare: 0.6,
    plumeTopShareStill: 0.8,
    bottomShare: 0.4,
    pumpLMin: 8,
    overturnLMin: 3,
    stillLMin: 0.02,
    pumpWatts: 5,
    wallUaWK: 0.9,
    wallInnerWK: 45,
    wallHeatJK: 3500,
    lidUaWK: 0.35,
    lidEvaporationShare: 0.06,
    evaporationFactor: 1,
    airSpeedMS: 0.1,
    ambientC: 16,
    ambientSwingC: 3,
    relativeHumidity: 0.5,
    airPressureKPa: 80.5,
    mainsVolts: 230,
    mainsSdVolts: 3,
    bagFilm: 300,
    bagFilmStill: 95,
    cutOutC: null,
    levelSwitchMm: 120,
    probes: {
      bath: oneWire(105, 0.7, 0.06),
      second: oneWire(60, 0.2, -0.09),
      core: { lagS: 12, noiseSdC: 0.03, stepC: 0.0625, offsetC: 0.05, topShare: 0.5, heightMm: 0 },
      ambient: { lagS: 120, noiseSdC: 0.05, stepC: 0.0625, offsetC: 0.1, topShare: 0, heightMm: 0 },
    },
  };
}

/** [field, lowest, highest]: the range each figure must lie in. */
const RANGES: readonly (readonly [keyof PlantSpec, number, number])[] = [
  ['litres', 1, 500],
  ['openingM2', 0.005, 2],
  ['brimMm', 50, 2000],
  ['elementBottomMm', 0, 2000],
  ['elementTopMm', 1, 2000],
  ['elementWatts', 0, 20_000],
  ['elementHeatJK', 10, 50_000],
  ['elementFilmWK', 1, 5000],
  ['elementDryWK', 0.01, 100],
  ['elementAreaM2', 0.001, 1],
  ['elementBurnOutC', 150, 1500],
  ['deadTimeS', 0, 600],
  ['plumeTopShare', 0, 1],
  ['plumeTopShareStill', 0, 1],
  ['bottomShare', 0.05, 0.95],
  ['pumpLMin', 0, 200],
  ['overturnLMin', 0, 200],
  ['stillLMin', 0, 200],
  ['pumpWatts', 0, 500],
  ['wallUaWK', 0.01, 100],
  ['wallInnerWK', 0.02, 2000],
  ['wallHeatJK', 100, 1e6],
  ['lidUaWK', 0, 100],
  ['lidEvaporationShare', 0, 1],
  ['evaporationFactor', 0, 5],
  ['airSpeedMS', 0, 10],
  ['ambientC', -30, 50],
  ['ambientSwingC', 0, 30],
  ['relativeHumidity', 0, 1],
  ['airPressureKPa', 40, 110],
  ['mainsVolts', 0, 300],
  ['mainsSdVolts', 0, 50],
  ['bagFilm', 1, 10_000],
  ['bagFilmStill', 1, 10_000],
];

/** Everything wrong with a rig's figures, one line each; empty when it can be simulated. */
export function specFaults(spec: PlantSpec): string[] {
  const faults: string[] = [];
  for (const [field, low, high] of RANGES) {
    const value = spec[field];
    if (typeof value !== 'number' || !(value >= low && value <= high)) {
      faults.push(`${field} is ${String(value)}; expected a number from ${low} to ${high}`);
    }
  }
  if (spec.elementTopMm <= spec.elementBottomMm) faults.push('elementTopMm must lie above elementBottomMm');
  if (spec.wallInnerWK <= spec.wallUaWK)
    faults.push('wallInnerWK must be above wallUaWK, of which it is a part');
  if (spec.litres / spec.openingM2 > spec.brimMm) {
    const most = (spec.openingM2 * spec.brimMm).toFixed(1);
    faults.push(`litres is ${spec.litres}, but the box holds ${most} L to the brim; pour in less`);
  }
  return faults;
}

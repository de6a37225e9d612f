import { describe, expect, it } from 'vitest';
import {
  addGrowth,
  COOLING_GROWTH_LIMIT_LOG10,
  growthLog10,
  growthResult,
  rateIntegral,
  startGrowth,
} from '../../shared/hazard/growth.ts';
import { growthModelsFor, JUNEJA, LE_MARC } from '../../shared/hazard/growth-models.ts';
import { fToC } from '../../shared/units/temperature.ts';
import { publishedRows } from './published.ts';

type Leg = readonly [fromF: number, toF: number, hours: number];
const MODELS = { beef: JUNEJA.beef, chicken: JUNEJA.chicken, pork: JUNEJA.pork };

/** Legs of straight cooling as FSIS Appendix B and the Food Code word them. */
const OPTION_1: Leg[] = [
  [130, 80, 1.5],
  [80, 40, 5],
];
const OPTION_2: Leg[] = [
  [120, 80, 1],
  [80, 55, 5],
];
const OPTION_3: Leg[] = [
  [130, 80, 5],
  [80, 45, 10],
];
const FOOD_CODE: Leg[] = [
  [135, 70, 2],
  [70, 41, 4],
];

const cool = (species: string, legs: readonly Leg[]) => {
  const models = growthModelsFor(species);
  let state = startGrowth();
  for (const [from, to, hours] of legs) {
    state = addGrowth(models, state, fToC(from), fToC(to), hours * 3600, true);
  }
  return { models, state, result: growthResult(models, state) };
};

describe('C. perfringens, published rates', () => {
  it('gives the rate at every tabulated temperature (parameters of Juneja 2011 and Le Marc 2008, computed apart)', () => {
    let largest = 0;
    for (const row of publishedRows('perfringens-rates.csv')) {
      const species = row.model!.replace('juneja-', '') as keyof typeof MODELS;
      const model = row.model === 'le-marc' ? LE_MARC : MODELS[species];
      largest = Math.max(largest, Math.abs(model.ratePerH(+row.celsius!) - +row.mu_per_h!));
    }
    console.log(`rates: largest deviation ${largest.toExponential(1)} per hour`);
    expect(largest).toBeLessThan(0.0001);
  });

  it('gives the lag ln(1 + 1/q0) over the rate at a steady temperature (Baranyi & Roberts 1994, from memory)', () => {
    const model = JUNEJA.pork;
    const lagH = Math.log(1 + 1 / model.q0) / model.ratePerH(40);
    const grownH = lagH + 4;
    const ln = growthLog10(model, model.ratePerH(40) * grownH) * Math.LN10;
    // Long after the lag, growth is the rate times the time since the lag ended.
    expect(ln).toBeCloseTo(model.ratePerH(40) * 4, 1);
  });
});

describe('C. perfringens, integrated growth worked out apart from this program (Juneja 2011, natural-log reading)', () => {
  const worked: [string, readonly Leg[], Record<keyof typeof MODELS, [number, number]>][] = [
    ['FSIS option 1', OPTION_1, { beef: [3.3247, 0.439], chicken: [2.9302, 0.073], pork: [2.7862, 0.081] }],
    ['FSIS option 3', OPTION_3, { beef: [10.1981, 3.244], chicken: [8.8917, 1.884], pork: [8.5798, 1.863] }],
    ['Food Code', FOOD_CODE, { beef: [2.9637, 0.342], chicken: [2.5714, 0.051], pork: [2.492, 0.061] }],
  ];
  for (const [name, legs, expected] of worked) {
    it(`agrees for ${name}, linear legs, within 0.002 of the integral and 0.001 log`, () => {
      for (const [species, [integral, log10]] of Object.entries(expected)) {
        const model = MODELS[species as keyof typeof MODELS];
        const sum = legs.reduce((s, [f, t, h]) => s + rateIntegral(model, fToC(f), fToC(t), h * 3600), 0);
        expect(Math.abs(sum - integral), `${name} ${species}`).toBeLessThan(0.002);
        expect(Math.abs(growthLog10(model, sum) - log10), `${name} ${species}`).toBeLessThan(0.001);
      }
    });
  }

  /** Log-linear cooling from one temperature to another: the logarithm of the temperature falls in a straight line. */
  const logLinear = (model: (typeof MODELS)['beef'], fromC: number, toC: number, hours: number) => {
    const at = (share: number) => fromC * (toC / fromC) ** share;
    let sum = 0;
    for (let i = 0; i < 400; i++)
      sum += rateIntegral(model, at(i / 400), at((i + 1) / 400), (hours * 3600) / 400);
    return sum;
  };

  it('agrees for log-linear cooling, 51 to 11 C in 8 h and 54.4 to 7.2 C in 15 h', () => {
    const cases: [number, number, number, Record<keyof typeof MODELS, [number, number]>][] = [
      [51, 11, 8, { beef: [6.6633, 1.717], chicken: [5.9622, 0.701], pork: [5.6364, 0.679] }],
      [54.4, 7.2, 15, { beef: [9.73, 3.041], chicken: [8.548, 1.737], pork: [8.2038, 1.702] }],
    ];
    for (const [from, to, hours, expected] of cases) {
      for (const [species, [integral, log10]] of Object.entries(expected)) {
        const model = MODELS[species as keyof typeof MODELS];
        const sum = logLinear(model, from, to, hours);
        expect(Math.abs(sum - integral), `${from} C ${species}`).toBeLessThan(0.002);
        expect(Math.abs(growthLog10(model, sum) - log10), `${from} C ${species}`).toBeLessThan(0.002);
      }
    }
  });

  it('tells more than the published cured models for the same cooling, whose parameters were not found: cure earns nothing here', () => {
    // Juneja, Novak, Marks & Gombas 2001 (cured beef): 3.17-fold, 51 to 11 C in 8 h. Juneja & Marks 2002 (cured chicken): 9.4-fold to 12 C.
    for (const [species, fold, toC] of [
      ['beef', 3.17, 11],
      ['chicken', 9.4, 12],
    ] as const) {
      const grown = growthModelsFor(species).map((m) => growthLog10(m, logLinear(m, 51, toC, 8)));
      console.log(
        `${species}: published cured ${Math.log10(fold).toFixed(2)} log, here ${Math.max(...grown).toFixed(2)}`,
      );
      expect(Math.max(...grown)).toBeGreaterThan(Math.log10(fold));
    }
  });

  it('agrees for two hours at 45 C', () => {
    expect(growthLog10(JUNEJA.beef, rateIntegral(JUNEJA.beef, 45, 45, 7200))).toBeCloseTo(1.094, 3);
    expect(growthLog10(JUNEJA.chicken, rateIntegral(JUNEJA.chicken, 45, 45, 7200))).toBeCloseTo(0.268, 3);
    expect(growthLog10(JUNEJA.pork, rateIntegral(JUNEJA.pork, 45, 45, 7200))).toBeCloseTo(0.336, 3);
  });
});

describe('the regulatory check', () => {
  it('keeps within 1 log under FSIS Appendix B options 1 and 2, which FSIS accepts for any product', () => {
    for (const species of ['beef', 'chicken', 'pork', 'lamb', 'duck']) {
      for (const legs of [OPTION_1, OPTION_2]) {
        const { result } = cool(species, legs);
        console.log(`${species}: ${result.coolingLog10.toFixed(2)} log`);
        expect(result.coolingLog10).toBeLessThanOrEqual(COOLING_GROWTH_LIMIT_LOG10);
      }
    }
  });

  it('gives no credit for cure: the slow option for cured meat is far over 1 log', () => {
    expect(cool('pork', OPTION_3).result.coolingLog10).toBeGreaterThan(3);
  });
});

describe('the judgement', () => {
  it('tells the faster of the two models, and each of them', () => {
    const { models, state, result } = cool('pork', FOOD_CODE);
    const each = models.map((m, i) => growthLog10(m, state.cooling[i]!));
    expect(result.coolingLog10).toBe(Math.max(...each));
    expect(result.models.map((m) => m.log10)).toEqual(each);
  });

  it('never falls when the food is heated again, and grows nowhere above 54.5 or below 9.7 C', () => {
    const models = growthModelsFor('chicken');
    const grown = addGrowth(models, startGrowth(), 40, 40, 3600, false);
    expect(addGrowth(models, grown, 60, 95, 7200, false)).toBe(grown);
    expect(addGrowth(models, grown, 0, 9.7, 1e6, false)).toBe(grown);
    const before = growthResult(models, grown).log10;
    expect(before).toBeGreaterThan(0);
    expect(growthResult(models, addGrowth(models, grown, 60, 30, 3600, false)).log10).toBeGreaterThan(before);
  });

  it('counts an unknown temperature as the worst one', () => {
    const models = growthModelsFor('beef');
    const blind = addGrowth(models, startGrowth(), Number.NaN, Number.NaN, 3600, false);
    const worst = addGrowth(models, startGrowth(), 45, 45, 3600, false);
    expect(blind).toEqual(worst);
  });

  it('stays finite for days in the warm: no food holds more than about 8 log more', () => {
    const models = growthModelsFor('beef');
    const state = addGrowth(models, startGrowth(), 43, 43, 1e9, false);
    expect(growthResult(models, state).log10).toBe(8);
  });

  it('begins the lag anew at chilling, because heat wakes spores, and adds both parts', () => {
    const models = growthModelsFor('pork');
    const warm = addGrowth(models, startGrowth(), 40, 40, 5400, false);
    const both = addGrowth(models, warm, 40, 40, 5400, true);
    const result = growthResult(models, both);
    expect(result.warmingLog10).toBe(result.coolingLog10);
    expect(result.log10).toBeCloseTo(2 * result.warmingLog10, 12);
  });
});

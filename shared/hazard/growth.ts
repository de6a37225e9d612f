import type { GrowthModel } from './growth-models.ts';

/**
 * Growth of C. perfringens in one core, by two models side by side. Plain data.
 * Each number is the integral of a model's rate (ln units): Baranyi & Roberts 1994 turn it into growth in one step,
 * because q grows as exp of it.
 */
export interface GrowthState {
  /** Before chilling: come-up, dips and outages together. */
  readonly warming: readonly [number, number];
  /** From the moment it was taken out to chill; spores that the heat woke start their lag anew. */
  readonly cooling: readonly [number, number];
}

/** Growth beyond this is not told: no food holds more (stationary phase, about 8 log above a usual start; from memory). */
export const GROWTH_CEILING_LOG10 = 8;
/** FSIS Appendix B (2021): at most 1 log of C. perfringens while cooling. */
export const COOLING_GROWTH_LIMIT_LOG10 = 1;
/** Near the fastest growth of every model: what an unknown temperature is taken for. */
const WORST_C = 45;

const NONE: GrowthState = { warming: [0, 0], cooling: [0, 0] };

/** No growth yet. */
export function startGrowth(): GrowthState {
  return NONE;
}

/**
 * Carries growth over a straight line of core temperature lasting `seconds`.
 * Heat is given no credit for killing: growth never falls. An unknown temperature counts as the worst one.
 */
export function addGrowth(
  models: readonly [GrowthModel, GrowthModel],
  state: GrowthState,
  fromC: number,
  toC: number,
  seconds: number,
  cooling: boolean,
): GrowthState {
  if (!(seconds > 0)) return state;
  const from = Number.isFinite(fromC) ? fromC : WORST_C;
  const to = Number.isFinite(toC) ? toC : WORST_C;
  const first = rateIntegral(models[0], from, to, seconds);
  const second = rateIntegral(models[1], from, to, seconds);
  if (first === 0 && second === 0) return state;
  const [a, b] = cooling ? state.cooling : state.warming;
  const grown: [number, number] = [a + first, b + second];
  return cooling ? { ...state, cooling: grown } : { ...state, warming: grown };
}

/** Integral of a model's rate over a straight line of temperature, ln units; the midpoint rule in steps small enough for 0.001 log. */
export function rateIntegral(model: GrowthModel, fromC: number, toC: number, seconds: number): number {
  const low = Math.min(fromC, toC);
  const high = Math.max(fromC, toC);
  if (high <= model.minC || low >= model.maxC) return 0;
  if (high - low < 0.25) {
    const middle = Math.min(Math.max((low + high) / 2, model.minC), model.maxC);
    return (Math.max(0, model.ratePerH(middle)) * seconds) / 3600;
  }
  const start = Math.max(low, model.minC);
  const end = Math.min(high, model.maxC);
  const steps = Math.ceil((end - start) / 0.25);
  let sum = 0;
  for (let i = 0; i < steps; i++) sum += model.ratePerH(start + ((i + 0.5) * (end - start)) / steps);
  return ((sum / steps) * ((end - start) / (high - low)) * seconds) / 3600;
}

/** Growth in log10 from the integral of the rate: Baranyi & Roberts 1994 without the brake, up to a ceiling. */
export function growthLog10(model: GrowthModel, integral: number): number {
  // Beyond exp(50) the 1 in the sum no longer counts, and exp would soon overflow.
  const ln =
    integral > 50
      ? integral + Math.log(model.q0 / (1 + model.q0))
      : Math.log((1 + model.q0 * Math.exp(integral)) / (1 + model.q0));
  return Math.min(GROWTH_CEILING_LOG10, ln / Math.LN10);
}

/** Growth for a page, a log or an export. */
export interface GrowthResult {
  readonly organism: 'C. perfringens';
  /** The faster of the two models, warming and cooling added. */
  readonly log10: number;
  readonly warmingLog10: number;
  readonly coolingLog10: number;
  /** Each model alone: name and total. */
  readonly models: readonly { readonly name: string; readonly log10: number; readonly source: string }[];
  readonly coolingLimitLog10: number;
  readonly source: string;
}

/** Puts a state into log10 by the faster model. */
export function growthResult(models: readonly [GrowthModel, GrowthModel], state: GrowthState): GrowthResult {
  const of = (phase: readonly [number, number]) => models.map((m, i) => growthLog10(m, phase[i]!));
  const warming = of(state.warming);
  const cooling = of(state.cooling);
  const warmingLog10 = Math.max(...warming);
  const coolingLog10 = Math.max(...cooling);
  return {
    organism: 'C. perfringens',
    log10: Math.min(GROWTH_CEILING_LOG10, warmingLog10 + coolingLog10),
    warmingLog10,
    coolingLog10,
    models: models.map((m, i) => ({
      name: m.name,
      log10: Math.min(GROWTH_CEILING_LOG10, warming[i]! + cooling[i]!),
      source: m.source,
    })),
    coolingLimitLog10: COOLING_GROWTH_LIMIT_LOG10,
    source: 'the faster of two published models; at most 1 log while cooling (USDA FSIS Appendix B, 2021)',
  };
}

/** Chilling in ice, keeping, and making hot again. */
import { betaOf } from '../food/shape.ts';
import { type LimitProfile, limitProfile } from '../hazard/profiles.ts';
import { storageAdvice } from '../hazard/storage.ts';
import { layerShape } from './complete-dish.ts';
import { type Food, foodOf } from './food.ts';
import { passings } from './solo.ts';

/** Latent heat of ice, kJ/kg (CRC Handbook, from memory: 333.6). */
const ICE_KJ_KG = 333.6;
const FOOD_KJ_KGK = 3.5;
/** Slurry where it touches the bags, C: not quite that of melting ice. */
const SLURRY_C = 1;
/** At least as much ice as food by weight (common practice, no source). */
const LEAST_ICE_RATIO = 1;
/** Ice melts for the box and the room too (judgement). */
const ICE_SPARE = 1.25;

/** Ice to bring food down, kg: its heat over the latent heat, with some to spare, and never less than its weight. */
export function iceKg(foodKg: number, fromC: number, toC: number): number {
  if (!(foodKg >= 0 && fromC >= toC)) {
    throw new RangeError(
      `${foodKg} kg from ${fromC} to ${toC} C; expected a weight and falling temperatures.`,
    );
  }
  const melted = (foodKg * FOOD_KJ_KGK * (fromC - toC)) / ICE_KJ_KG;
  return Math.max(LEAST_ICE_RATIO * foodKg, ICE_SPARE * melted);
}

/** Cooling time goes with this power of the thickness: 2 without a film, less with one; the low end asks for thinner. */
const COOLING_POWER = 1.6;

/** One leg of a cooling rule against the slowest piece. */
export interface ChillLeg {
  readonly rule: string;
  readonly fromC: number;
  readonly toC: number;
  readonly limitS: number;
  /** Slow case; null: never. */
  readonly takesS: number | null;
  readonly ok: boolean;
  readonly source: string;
}

/** Chilling worked out and held against the rules. */
export interface Chill {
  readonly iceKg: number;
  readonly waterLitres: number;
  /** Core to the cold-holding limit: fast, middle, slow. */
  readonly coldS: { readonly lowS: number; readonly atS: number; readonly highS: number } | null;
  readonly toC: number;
  readonly legs: readonly ChillLeg[];
  readonly ok: boolean;
  /** Thickest piece of this weight that keeps the rules, mm: thinner means flatter too. Where it is ok, by a power law. */
  readonly mostThicknessMm: number;
  readonly words: string;
}

/** Chilling of a dish in ice slurry from bath temperature, against the cooling rules of a profile. */
export function chillOf(food: Food, massKg: number, fromC: number, profileId: string): Chill {
  const profile = limitProfile(profileId);
  const { legs, coldS } = legsOf(food, fromC, profile);
  const ok = legs.every((leg) => leg.ok);
  const worst = Math.max(...legs.map((leg) => (leg.takesS ?? Number.POSITIVE_INFINITY) / leg.limitS));
  const { thicknessMm } = food.dish;
  const guessMm = Number.isFinite(worst) ? Math.floor(thicknessMm / worst ** (1 / COOLING_POWER)) : 0;
  const mostThicknessMm = ok ? guessMm : thickestChilled(food, guessMm, fromC, profile);
  const hours = coldS
    ? `${(coldS.atS / 3600).toFixed(1)} h (at most ${(coldS.highS / 3600).toFixed(1)} h)`
    : 'never';
  return {
    iceKg: iceKg(massKg, fromC, profile.coldHoldC),
    waterLitres: massKg,
    coldS,
    toC: profile.coldHoldC,
    legs,
    ok,
    mostThicknessMm,
    words: ok
      ? `In ice and water the core of ${Math.round(thicknessMm)} mm is at ${profile.coldHoldC.toFixed(1)} C after ${hours}.`
      : `${Math.round(thicknessMm)} mm is too thick to chill in time, even in ice: ${legs
          .filter((leg) => !leg.ok)
          .map(
            (leg) =>
              `${leg.fromC.toFixed(0)} to ${leg.toC.toFixed(0)} C may take ${leg.takesS === null ? 'for ever' : `${(leg.takesS / 3600).toFixed(1)} h`}, the rule allows ${leg.limitS / 3600} h`,
          )
          .join('; ')}. At most ${mostThicknessMm} mm, or serve it from the bath.`,
  };
}

/** The thickest piece of this weight whose chilling keeps the rules, whole mm, at most `mostMm`; 0 where none does. */
function thickestChilled(food: Food, mostMm: number, fromC: number, profile: LimitProfile): number {
  const { cut, dish, densityKgM3 } = food;
  const keeps = (thicknessMm: number) => {
    const shape = layerShape(cut, dish.pieceKg, thicknessMm, densityKgM3);
    const thinner = foodOf({ ...dish, thicknessMm, betaRatio: betaOf(shape) }, fromC);
    return legsOf(thinner, fromC, profile).legs.every((leg) => leg.ok);
  };
  let [low, high] = [LEAST_THICK_MM - 1, mostMm];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (keeps(middle)) low = middle;
    else high = middle - 1;
  }
  return low < LEAST_THICK_MM ? 0 : low;
}

/** Thinner is no piece but a slice, mm. */
const LEAST_THICK_MM = 15;

function legsOf(food: Food, fromC: number, profile: LimitProfile) {
  const rules = profile.anyCooling ? profile.cooling.slice(0, 1) : profile.cooling;
  const targets = [...new Set(rules.flatMap((rule) => rule.legs.flatMap((l) => [l.fromC, l.toC])))];
  const wanted = [...targets, profile.coldHoldC];
  const times = passings(food, fromC, SLURRY_C, wanted);
  const at = (celsius: number) => times.find((t) => t.celsius === celsius)!;
  const legs: ChillLeg[] = rules.flatMap((rule) =>
    rule.legs.map((l) => {
      const [a, b] = [at(l.fromC).slowS, at(l.toC).slowS];
      const takesS = a === null || b === null ? null : b - a;
      const ok = takesS !== null && takesS <= l.limitS;
      return {
        rule: rule.name,
        fromC: l.fromC,
        toC: l.toC,
        limitS: l.limitS,
        takesS,
        ok,
        source: rule.source,
      };
    }),
  );
  const cold = times.at(-1)!;
  const coldS =
    cold.fastS === null || cold.middleS === null || cold.slowS === null
      ? null
      : { lowS: cold.fastS, atS: cold.middleS, highS: cold.slowS };
  return { legs, coldS };
}

/** Making chilled food hot again in a bath. */
export interface Reheat {
  readonly bathC: number;
  /** Core it is made hot to. */
  readonly coreC: number;
  /** Until then: fast, middle, slow. */
  readonly hotS: { readonly lowS: number; readonly atS: number; readonly highS: number } | null;
  readonly words: string;
  readonly source: string;
}

const NEAR_K = 2;
/** Hot enough to eat and out of every growth range (judgement). */
const HOT_CORE_C = 60;
/** Food Code 3-403.11: to be held hot afterwards, 165 F for 15 s within 2 h. */
const HELD_HOT = 'FDA Food Code 3-403.11';

/** Time to make a dish hot again from the fridge. `cookedC`: what it was cooked at; it is never warmed above. */
export function reheatOf(food: Food, fridgeC: number, cookedC: number): Reheat {
  const bathC = cookedC;
  const coreC = Math.min(HOT_CORE_C, bathC - NEAR_K);
  const [hot] = passings(food, fridgeC, bathC, [coreC]);
  const { slowS, middleS, fastS } = hot!;
  const hotS =
    slowS === null || middleS === null || fastS === null ? null : { lowS: fastS, atS: middleS, highS: slowS };
  return {
    bathC,
    coreC,
    hotS,
    words:
      'For serving at once any temperature will do, if it was cooked and chilled by the rules. To be held hot on a buffet it needs 74 C at the core for 15 s, within 2 h.',
    source: HELD_HOT,
  };
}

/** How long chilled food may be kept, as far as can be said before its cooling was recorded. */
export function keepWords(
  profileId: string,
  garlicOrHerbsInOil = false,
): { readonly words: string; readonly source: string } {
  const none = storageAdvice(limitProfile(profileId), {
    cooling: null,
    anyBreach: false,
    fridge: null,
    hasPlan: false,
    rawGarlicOrHerbsInOil: garlicOrHerbsInOil,
  });
  return {
    words: `${none.words} With a recorded cooling that met its rule and a measured fridge: 48 h at ${limitProfile(profileId).coldHoldC.toFixed(1)} C or colder, labelled with time and date; or freeze.`,
    source: none.source,
  };
}

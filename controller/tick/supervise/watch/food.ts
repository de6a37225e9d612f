import type { BagTrack } from '../../state.ts';

/**
 * Heat that the entered bags should be taking from the water. A bag is cooled meat in water that is stirred: the mean
 * deficit falls by the first terms of the eigenvalue series with a surface at the water's temperature (Incropera &
 * DeWitt, chapter 5), each term carried along as the water moves. Good for half of it or twice, which is what it is
 * used for.
 */
export interface FoodHeat {
  readonly bagId: string;
  readonly inAtS: number;
  /** Nobody described it, or nobody weighed it: what it takes is a guess. */
  readonly guessed: boolean;
  /** Heat capacity, J/K. */
  readonly heatJK: number;
  /** Rate of each term, 1/s, its share of the volume mean, and its deficit against the water now, K. */
  readonly rates: readonly number[];
  readonly shares: readonly number[];
  readonly deficits: readonly number[];
}

/** Diffusivity and specific heat of meat (Choi & Okos, lean: 1.3e-7 m2/s, 3500 J/(kg K)). */
const DIFFUSIVITY = 1.3e-7;
const MEAT_J_KG_K = 3500;
/** Food nobody weighed, kg. */
const USUAL_KG = 1.5;
/** Roots for a slab, a cylinder and a sphere; the square of each over the rate is half-thickness squared / diffusivity. */
const ROOTS = [
  [1.5708, 4.7124, 7.854],
  [2.4048, 5.5201, 8.6537],
  [Math.PI, 2 * Math.PI, 3 * Math.PI],
] as const;
/** The film between water and bag slows the surface: Bi / (Bi + 1) at 200 W/(m2 K), 30 mm, 0.48 W/(m K). */
const FILM_SHARE = 0.92;

/** Root `i` of a shape between slab (0) and sphere (2). */
function root(beta: number, i: number): number {
  const low = Math.min(1, Math.floor(beta));
  const from = ROOTS[low]![i]!;
  return from + (beta - low) * (ROOTS[low + 1]![i]! - from);
}

function begin(bag: BagTrack, waterC: number): FoodHeat {
  const { spec } = bag;
  const halfM = spec.thicknessMm / 2000;
  const rates: number[] = [];
  const shares: number[] = [];
  let left = 1;
  for (let i = 0; i < 3; i++) {
    const mu = root(spec.beta, i) * FILM_SHARE;
    rates.push((DIFFUSIVITY * mu * mu) / (halfM * halfM));
    // 2 (1 + beta) / root^2: 8/pi^2 of a slab, 4/mu^2 of a cylinder, 6/pi^2 of a sphere. The last term takes the rest.
    const share = i === 2 ? left : Math.min(left, (2 * (1 + spec.beta)) / root(spec.beta, i) ** 2);
    shares.push(share);
    left -= share;
  }
  const deficit = waterC - spec.startC;
  const heatJK = (spec.massKg ?? USUAL_KG) * MEAT_J_KG_K;
  return {
    bagId: spec.bagId,
    inAtS: bag.inAtS,
    guessed: bag.assumed || spec.massKg === null,
    heatJK,
    rates,
    shares,
    deficits: [deficit, deficit, deficit],
  };
}

function stepOne(food: FoodHeat, warmedC: number, seconds: number): FoodHeat {
  const deficits = food.deficits.map((deficit, i) => deficit * Math.exp(-food.rates[i]! * seconds) + warmedC);
  return { ...food, deficits };
}

/** Heat that one piece takes now, W. */
function wattsOf(food: FoodHeat): number {
  let watts = 0;
  for (let i = 0; i < 3; i++) watts += food.shares[i]! * food.rates[i]! * food.deficits[i]!;
  return watts * food.heatJK;
}

/** The same food after a beat in which the water came to `waterC` (it was `beforeC`), with the bags that are in now. */
export function stepFood(
  foods: readonly FoodHeat[],
  bags: readonly BagTrack[],
  beforeC: number,
  waterC: number,
  clockS: number,
  seconds: number,
): readonly FoodHeat[] {
  if (foods.length === 0 && bags.length === 0) return foods;
  const next: FoodHeat[] = [];
  for (const bag of bags) {
    if (bag.outAtMs !== null) continue;
    const known = foods.find((food) => food.bagId === bag.spec.bagId && food.inAtS === bag.inAtS);
    if (known) next.push(stepOne(known, waterC - beforeC, seconds));
    else next.push(stepOne(begin(bag, waterC), 0, Math.max(0, clockS - bag.inAtS)));
  }
  return next;
}

/** What is known of food that was weighed is good for so much either way, as a share; a guess for all of it. */
const WEIGHED_SPREAD = 0.6;
/** Of food that nobody described or weighed half of the usual is expected. */
const GUESSED_SHARE = 0.5;

/** Heat that all of it should take now, and how far off that may be, W. */
export function foodWatts(foods: readonly FoodHeat[]): { watts: number; spread: number } {
  let watts = 0;
  let spread = 0;
  for (const food of foods) {
    const own = wattsOf(food);
    watts += food.guessed ? GUESSED_SHARE * own : own;
    spread += Math.abs(own) * (food.guessed ? 1 : WEIGHED_SPREAD);
  }
  return { watts, spread };
}

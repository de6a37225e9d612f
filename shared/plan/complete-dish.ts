/** One dish made whole: weight from people, pieces and thickness from the cut, a cure, an endpoint. */
import { meatDensity } from '../bag/advice.ts';
import { type Cut, cutById } from '../food/cuts.ts';
import { betaOf, type Shape } from '../food/shape.ts';
import { ENDPOINT_FACTOR, type Endpoint } from '../tender/classes.ts';
import { type CureAsked, completeCure } from './complete-cure.ts';
import { PlanFault } from './fault.ts';
import { findCut } from './find-cut.ts';
import { mostThicknessMm, pieceShape } from './shape.ts';
import { round } from './step.ts';
import type { Default, Dish } from './types.ts';
import { MOST_BAG_KG, PRACTICE, portionKg, usualBath, usualEndpoint } from './usual.ts';

/** Thickest piece that is planned for, mm. */
const THICKEST_MM = 200;

/** What may be said of a dish. */
export interface DishAsked {
  /** Id or words. */
  readonly cut: string;
  readonly dishId?: string | undefined;
  readonly name?: string | undefined;
  /** All pieces together, raw. */
  readonly massKg?: number | undefined;
  readonly piecesCount?: number | undefined;
  readonly thicknessMm?: number | undefined;
  readonly shape?: Shape | undefined;
  readonly endpoint?: Endpoint | undefined;
  readonly startC?: number | undefined;
  /** null: no salt. */
  readonly cure?: CureAsked;
}

/** Completes a dish. `people`: eaters of this dish, null where not said. @throws PlanFault listing its faults */
export function completeDish(
  asked: DishAsked,
  index: number,
  people: number | null,
  fridgeC: number,
  defaults: Default[],
): Dish {
  const cut = findCut(asked.cut);
  const name = asked.name ?? cut.name;
  const field = (what: string) => `${name}: ${what}`;
  const add = (what: string, value: string, why: string, source = PRACTICE) =>
    defaults.push({ field: field(what), value, why, source });
  checkDish(asked, name);
  const massKg = massOf(asked, cut, people, name, add);
  const density = meatDensity(cut.composition.fat);
  const piecesCount = asked.piecesCount ?? piecesOf(massKg, add);
  const pieceKg = massKg / piecesCount;
  const thicknessMm = thicknessOf(asked, cut, pieceKg, density, name, add);
  const shape = asked.shape ?? layerShape(cut, pieceKg, thicknessMm, density);
  const endpoint = asked.endpoint ?? usualEndpoint(cut);
  if (asked.endpoint === undefined) add('endpoint', endpoint, 'It moves the time more than any temperature.');
  const startC = asked.startC ?? fridgeC;
  if (asked.startC === undefined) add('going in at', `${round(startC)} C`, 'As cold as the fridge.');
  return {
    dishId: asked.dishId ?? `${cut.id}-${index + 1}`,
    name,
    cutId: cut.id,
    piecesCount,
    pieceKg,
    thicknessMm,
    betaRatio: betaOf(shape),
    endpoint,
    startC,
    cure: completeCure(asked.cure, { cut, name, massKg, add }),
    bath: usualBath(cut),
  };
}

type Add = (what: string, value: string, why: string, source?: string) => void;

/**
 * Warmest food that is planned for, C: what has left cold holding may come to 70 F (21 C) and is then near its end
 * (FDA Food Code 3-501.19).
 */
const WARMEST_START_C = 21;
const WARM_START =
  'frozen food is thawed first, and what is warmer than 21 C (70 F, FDA Food Code 3-501.19) is chilled at once or, where nobody knows for how long, thrown away';

function checkDish(asked: DishAsked, name: string): void {
  const faults: string[] = [];
  const check = (what: string, value: number | undefined, low: number, high: number, unit: string) => {
    if (value !== undefined && !(value >= low && value <= high)) {
      faults.push(`${name}: ${what} is ${value}; expected ${low} to ${high} ${unit}.`);
    }
  };
  check('weight', asked.massKg, 0.02, 100, 'kg');
  check('pieces', asked.piecesCount, 1, 64, '');
  check('thickness', asked.thicknessMm, 5, THICKEST_MM, 'mm');
  check('going in at', asked.startC, -1, WARMEST_START_C, `C: ${WARM_START}`);
  check('salt', asked.cure?.saltPercent, 0.1, 6, '% of the raw weight');
  check('time in the cure', asked.cure?.wantedS, 0, 30 * 86_400, 's');
  if (asked.piecesCount !== undefined && !Number.isInteger(asked.piecesCount)) {
    faults.push(`${name}: ${asked.piecesCount} pieces; expected a whole number.`);
  }
  if (asked.endpoint !== undefined && !(asked.endpoint in ENDPOINT_FACTOR)) {
    faults.push(`${name}: endpoint "${asked.endpoint}"; expected sliceable, fork-tender or shreds.`);
  }
  if (faults.length > 0) throw new PlanFault(faults);
}

function massOf(asked: DishAsked, cut: Cut, people: number | null, name: string, add: Add): number {
  const each = portionKg(cut);
  if (asked.massKg !== undefined) {
    if (people !== null) {
      const share = asked.massKg / people;
      const judged = share < 0.7 * each ? 'scant' : share > 1.6 * each ? 'plenty' : 'right';
      add(
        'portion',
        `${Math.round(share * 1000)} g raw each`,
        `Usual is ${Math.round(each * 1000)} g: ${judged}.`,
      );
    }
    return asked.massKg;
  }
  if (people === null) {
    throw new PlanFault([
      `${name}: neither weight nor people were given; give one, such as 2kg or eight people.`,
    ]);
  }
  const massKg = Math.round(people * each * 20) / 20;
  add('weight', `${massKg} kg`, `${Math.round(each * 1000)} g raw for each of ${people}.`);
  return massKg;
}

function piecesOf(massKg: number, add: Add): number {
  const bags = Math.ceil(massKg / MOST_BAG_KG);
  add('bags', String(bags), `No bag heavier than ${MOST_BAG_KG} kg.`);
  return bags;
}

function thicknessOf(
  asked: DishAsked,
  cut: Cut,
  pieceKg: number,
  density: number,
  name: string,
  add: Add,
): number {
  const most = mostThicknessMm(pieceKg, density);
  if (asked.thicknessMm !== undefined) {
    if (asked.thicknessMm <= 1.1 * most) return asked.thicknessMm;
    throw new PlanFault([
      `${name}: a piece of ${pieceKg.toFixed(2)} kg cannot be ${asked.thicknessMm} mm thick; a ball of it is ${most.toFixed(0)} mm. Check weight, pieces and thickness.`,
    ]);
  }
  // A heavier piece is thicker too: all its sides grow alike.
  const heavy = Math.cbrt(Math.max(1, pieceKg / MOST_BAG_KG));
  const usual = Math.round(Math.min(heavy * cut.typicalThicknessMm, 0.9 * most));
  if (usual > THICKEST_MM) {
    throw new PlanFault([
      `${name}: a piece of ${pieceKg.toFixed(1)} kg is about ${usual} mm thick; expected ${THICKEST_MM} mm at most. Cut it into more pieces, or give the thickness that was measured.`,
    ]);
  }
  add(
    'thickness',
    `${usual} mm`,
    heavy > 1
      ? `Reckoned from the usual for the cut: a piece of ${pieceKg.toFixed(1)} kg is thicker. Measure the filled bag at its thickest, it decides the time.`
      : 'Usual for the cut; measure the filled bag at its thickest, it decides the time.',
  );
  return usual;
}

/** Weight of one piece as it grows, kg: the usual shape at the usual thickness. */
function ownKg(cut: Cut, density: number): number {
  const { typicalShape: shape } = cut;
  const cube = (cut.typicalThicknessMm / 1000) ** 3 * density;
  if (shape.kind === 'brick') return cube * shape.width * shape.length;
  if (shape.kind === 'finite-cylinder') return (cube * Math.PI * shape.length) / 4;
  return 6 * cube;
}

/** Small pieces side by side in one bag count as one flat piece; else the shape of the piece. @param density kg/m3 */
export function layerShape(cut: Cut, pieceKg: number, thicknessMm: number, density: number): Shape {
  const own = ownKg(cut, density);
  if (own < 0.5 && pieceKg > 1.6 * own) {
    const cubes = pieceKg / density / (thicknessMm / 1000) ** 3;
    const side = Math.max(1, Math.sqrt(cubes));
    return { kind: 'brick', width: side, length: side };
  }
  return pieceShape(cut, pieceKg, thicknessMm, density);
}

/** The thickest of some dishes in thinner pieces of the same weight, which are flatter. */
export function thickestAt(dishes: readonly Dish[], thicknessMm: number): Dish[] {
  const thickest = dishes.reduce((a, b) => (b.thicknessMm > a.thicknessMm ? b : a));
  const cut = cutById(thickest.cutId)!;
  const shape = layerShape(cut, thickest.pieceKg, thicknessMm, meatDensity(cut.composition.fat));
  const thinner = { ...thickest, thicknessMm, betaRatio: betaOf(shape) };
  return dishes.map((dish) => (dish === thickest ? thinner : dish));
}

/** Whether a cut is poultry; its cure has cautions of its own. */
export function isPoultry(cutId: string): boolean {
  return cutById(cutId)?.family === 'poultry';
}

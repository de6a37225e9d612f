import type { Request } from '../../../shared/plan/request.ts';
import type { ServeFrom } from '../../../shared/plan/types.ts';
import type { Endpoint } from '../../../shared/tender/classes.ts';
import { parseNumber } from '../words/number.ts';
import type { TemperatureUnit } from '../words/temperature.ts';
import { kgOf, type MassUnit, massField, mmOf, thicknessField } from './measures.ts';

/** Odds wanted where nobody says, as they stand in the field, percent. */
export const USUAL_ODDS_TEXT = '80';

/** Which day: the first on which it can be done, or one that is named. */
export type DayChoice = 'first' | 'today' | 'tomorrow' | 'date';
/** `usual`: as is usual for the cut. */
export type CureChoice = 'usual' | 'weighed' | 'packed' | 'none';

/** Between mild and strong as kitchens use a spice. */
export type SpiceStrength = 'mild' | 'usual' | 'strong';

/** One dish as typed. Empty: nobody said, so what is usual is taken. */
export interface DishDraft {
  readonly key: number;
  readonly cutId: string;
  readonly mass: string;
  readonly thickness: string;
  readonly pieces: string;
  readonly endpoint: Endpoint | 'usual';
  readonly cure: CureChoice;
  readonly saltPercent: string;
  readonly cureHours: string;
  /** Ids of the spices that go on with the salt, all as strong. */
  readonly spices: readonly string[];
  readonly spiced: SpiceStrength;
  /** Curing salt with nitrite: off until somebody asks for it. */
  readonly nitrite: boolean;
  readonly curingSaltG: string;
  readonly nitritePercent: string;
}

/** A plan as typed. Temperatures and weights are in the units of the draft. */
export interface PlanDraft {
  readonly unit: TemperatureUnit;
  readonly mass: MassUnit;
  readonly dishes: readonly DishDraft[];
  readonly people: string;
  readonly time: string;
  readonly day: DayChoice;
  readonly date: string;
  readonly zone: string;
  readonly odds: string;
  readonly bath: string;
  readonly wakeAtNight: boolean;
  readonly serveFrom: ServeFrom;
  readonly fridge: string;
  /** Of the rig; empty: as known. */
  readonly litres: string;
  readonly fill: string;
  readonly room: string;
  readonly altitude: string;
  readonly lid: 'on' | 'off' | 'known';
  readonly filmId: string;
  readonly linerId: string;
}

/** A dish of which nothing is said yet. */
export function emptyDish(key: number): DishDraft {
  return {
    key,
    cutId: '',
    mass: '',
    thickness: '',
    pieces: '',
    endpoint: 'usual',
    cure: 'usual',
    saltPercent: '',
    cureHours: '',
    spices: [],
    spiced: 'usual',
    nitrite: false,
    curingSaltG: '',
    nitritePercent: '',
  };
}

/** A plan of which nothing is said yet. */
export function emptyDraft(unit: TemperatureUnit, mass: MassUnit, zone: string): PlanDraft {
  return {
    unit,
    mass,
    dishes: [emptyDish(1)],
    people: '',
    time: '',
    day: 'first',
    date: '',
    zone,
    odds: USUAL_ODDS_TEXT,
    bath: '',
    wakeAtNight: false,
    serveFrom: 'bath',
    fridge: '',
    litres: '',
    fill: '',
    room: '',
    altitude: '',
    lid: 'known',
    filmId: '',
    linerId: '',
  };
}

/** The same draft with its weights and thicknesses in another unit. */
export function inMass(draft: PlanDraft, mass: MassUnit): PlanDraft {
  const turn = (text: string, to: (value: number) => string) =>
    Number.isFinite(parseNumber(text)) ? to(parseNumber(text)) : text;
  const dishes = draft.dishes.map((dish) => ({
    ...dish,
    mass: turn(dish.mass, (v) => massField(kgOf(v, draft.mass), mass)),
    thickness: turn(dish.thickness, (v) => thicknessField(mmOf(v, draft.mass), mass)),
  }));
  return { ...draft, mass, dishes };
}

/** A draft with what a line in words said: `lamb shoulder, 2 kg, eight people, 19:30`. */
export function withRequest(
  draft: PlanDraft,
  request: Request,
  cutIdOf: (words: string) => string,
): PlanDraft {
  const first = Math.max(0, ...draft.dishes.map((dish) => dish.key)) + 1;
  const dishes = request.dishes.map((dish, i) => ({
    ...emptyDish(first + i),
    cutId: cutIdOf(dish.cut),
    mass: dish.massKg === undefined ? '' : massField(dish.massKg, draft.mass),
    thickness: dish.thicknessMm === undefined ? '' : thicknessField(dish.thicknessMm, draft.mass),
    pieces: dish.piecesCount === undefined ? '' : String(dish.piecesCount),
  }));
  const [date, clock] = (request.serveBy ?? '').split(/[T ]/);
  return {
    ...draft,
    dishes,
    people: request.peopleCount === null ? draft.people : String(request.peopleCount),
    ...(clock
      ? { day: 'date' as const, date: date ?? '', time: clock.padStart(5, '0') }
      : date
        ? { time: date.padStart(5, '0') }
        : {}),
  };
}

/** Between what was typed and the form that the planner, the controller and every phone share. */
import { cutById } from '../../../shared/food/cuts.ts';
import { wallTime } from '../../../shared/plan/zone.ts';
import type { DishForm, PlanForm } from '../../../shared/wire/plan.ts';
import { parseNumber } from '../words/number.ts';
import { fromUnit, inUnit, type TemperatureUnit } from '../words/temperature.ts';
import { type DishDraft, emptyDish, emptyDraft, type PlanDraft, USUAL_ODDS_TEXT } from './draft.ts';
import { extrasDraft, extrasForm, extrasMissing } from './extras.ts';
import { kgOf, type MassUnit, massField, mmOf, thicknessField } from './measures.ts';
import { dateField } from './when.ts';

/** A form to plan with, or the list of what is still missing. */
export type Formed =
  | { readonly ok: true; readonly form: PlanForm }
  | { readonly ok: false; readonly missing: readonly string[] };

const DAY_MS = 86_400_000;
const typed = (text: string) => text.trim() !== '';
/** Leaves out what nobody said: an absent field is taken from what is usual, and named. */
const given = <K extends string, T>(key: K, text: string, of: (value: number) => T) =>
  (typed(text) ? { [key]: of(parseNumber(text)) } : {}) as { [P in K]?: T };

function dishForm(dish: DishDraft, mass: MassUnit): DishForm {
  return {
    cut: dish.cutId,
    ...given('massKg', dish.mass, (value) => kgOf(value, mass)),
    ...given('thicknessMm', dish.thickness, (value) => mmOf(value, mass)),
    ...given('piecesCount', dish.pieces, (value) => value),
    ...(dish.endpoint === 'usual' ? {} : { endpoint: dish.endpoint }),
    ...cureForm(dish),
  };
}

function cureForm(dish: DishDraft): Pick<DishForm, 'cure'> {
  if (dish.cure === 'none') return { cure: null };
  const said = {
    ...given('saltPercent', dish.saltPercent, (value) => value),
    ...given('wantedS', dish.cureHours, (value) => value * 3600),
    ...extrasForm(dish),
  };
  if (dish.cure === 'packed') return { cure: { method: 'packed', ...said } };
  if (dish.cure === 'weighed') return { cure: { method: 'equilibrium', ...said } };
  return Object.keys(said).length > 0 ? { cure: said } : {};
}

/** What must still be said before anything can be planned. */
function missingOf(draft: PlanDraft): string[] {
  const many = draft.dishes.length > 1;
  const people = typed(draft.people);
  return [
    ...draft.dishes.flatMap((dish, i) => {
      const which = many ? ` of dish ${i + 1}` : '';
      return [
        ...(cutById(dish.cutId) ? [] : [`the cut${which}`]),
        ...(dish.cure === 'none' ? [] : extrasMissing(dish).map((what) => `${what}${which}`)),
        ...(people || typed(dish.mass) ? [] : [`how much${which}, or for how many`]),
      ];
    }),
    ...(/^\d{1,2}:\d{2}$/.test(draft.time) ? [] : ['when it is to be on the table']),
    ...(draft.day === 'date' && draft.date === '' ? ['the date'] : []),
    ...numberFaults(draft),
  ];
}

/** What was typed as a number and is none. */
function numberFaults(draft: PlanDraft): string[] {
  const bad = (text: string) => typed(text) && !Number.isFinite(parseNumber(text));
  const fields: readonly (readonly [string, string])[] = [
    ...draft.dishes.flatMap((dish) => [
      [dish.mass, 'a weight'] as const,
      [dish.thickness, 'a thickness'] as const,
      [dish.pieces, 'a number of bags'] as const,
      [dish.saltPercent, 'a percent of salt'] as const,
      [dish.cureHours, 'hours of curing'] as const,
      [dish.curingSaltG, 'grams of curing salt'] as const,
      [dish.nitritePercent, 'a percent of nitrite'] as const,
    ]),
    [draft.people, 'a number of people'],
    [draft.odds, 'the odds'],
    [draft.bath, 'the bath'],
    [draft.fridge, 'the fridge'],
    [draft.litres, 'the water'],
    [draft.fill, 'the fill water'],
    [draft.room, 'the room'],
    [draft.altitude, 'the altitude'],
  ];
  return fields.filter(([text]) => bad(text)).map(([text, name]) => `${name} (“${text}” is no number)`);
}

function serveByText(draft: PlanDraft, nowMs: number): string {
  const time = draft.time.padStart(5, '0');
  switch (draft.day) {
    case 'first':
      return time;
    case 'today':
      return `${dateField(nowMs, draft.zone)} ${time}`;
    case 'tomorrow':
      return `${dateField(nowMs + DAY_MS, draft.zone)} ${time}`;
    case 'date':
      return `${draft.date} ${time}`;
  }
}

function rigForm(draft: PlanDraft): Pick<PlanForm, 'rig'> {
  const degrees = (value: number) => fromUnit(value, draft.unit);
  const rig = {
    ...given('waterLitres', draft.litres, (value) => value),
    ...given('fillC', draft.fill, degrees),
    ...given('roomC', draft.room, degrees),
    ...given('altitudeM', draft.altitude, (value) => value),
    ...(draft.lid === 'known' ? {} : { lidOn: draft.lid === 'on' }),
    ...(draft.filmId === '' ? {} : { filmId: draft.filmId }),
    ...(draft.linerId === '' ? {} : { linerId: draft.linerId }),
  };
  return Object.keys(rig).length > 0 ? { rig } : {};
}

/** The draft as a form. `nowMs`: the controller's clock, by which today and tomorrow are meant. */
export function formOf(draft: PlanDraft, nowMs: number): Formed {
  const missing = missingOf(draft);
  if (missing.length > 0) return { ok: false, missing };
  const degrees = (value: number) => fromUnit(value, draft.unit);
  const form: PlanForm = {
    serveBy: serveByText(draft, nowMs),
    zone: draft.zone,
    dishes: draft.dishes.map((dish) => dishForm(dish, draft.mass)),
    ...given('peopleCount', draft.people, (value) => value),
    ...(draft.odds.trim() === USUAL_ODDS_TEXT
      ? {}
      : given('oddsFraction', draft.odds, (value) => value / 100)),
    ...given('bathC', draft.bath, degrees),
    ...(draft.wakeAtNight ? { night: null } : {}),
    ...(draft.serveFrom === 'bath' ? {} : { serveFrom: draft.serveFrom }),
    ...given('fridgeC', draft.fridge, degrees),
    ...rigForm(draft),
  };
  return { ok: true, form };
}

const text = (value: number | undefined) => (value === undefined ? '' : String(value));

function dishDraft(dish: DishForm, key: number, mass: MassUnit): DishDraft {
  const { cure } = dish;
  const method = cure?.method === 'packed' ? 'packed' : cure?.method === 'equilibrium' ? 'weighed' : 'usual';
  return {
    ...emptyDish(key),
    cutId: dish.cut,
    mass: dish.massKg === undefined ? '' : massField(dish.massKg, mass),
    thickness: dish.thicknessMm === undefined ? '' : thicknessField(dish.thicknessMm, mass),
    pieces: text(dish.piecesCount),
    endpoint: dish.endpoint ?? 'usual',
    cure: cure === null ? 'none' : method,
    saltPercent: text(cure?.saltPercent),
    cureHours: cure?.wantedS === undefined ? '' : String(cure.wantedS / 3600),
    ...extrasDraft(cure ?? {}),
  };
}

function whenOf(form: PlanForm): Pick<PlanDraft, 'day' | 'date' | 'time'> {
  if (typeof form.serveBy === 'number') {
    const { hour, minute } = wallTime(form.serveBy, form.zone);
    const time = `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`;
    return { day: 'date', date: dateField(form.serveBy, form.zone), time };
  }
  const [date = '', time] = form.serveBy.split(/[T ]/);
  return time === undefined ? { day: 'first', date: '', time: date } : { day: 'date', date, time };
}

/** A form to be changed, as typed in these units. */
export function draftOf(form: PlanForm, unit: TemperatureUnit, mass: MassUnit): PlanDraft {
  const degrees = (celsius: number | undefined) =>
    celsius === undefined ? '' : String(Number(inUnit(celsius, unit).toFixed(1)));
  const { rig } = form;
  return {
    ...emptyDraft(unit, mass, form.zone),
    ...whenOf(form),
    dishes: form.dishes.map((dish, i) => dishDraft(dish, i + 1, mass)),
    people: text(form.peopleCount),
    odds: form.oddsFraction === undefined ? USUAL_ODDS_TEXT : String(Math.round(100 * form.oddsFraction)),
    bath: degrees(form.bathC),
    wakeAtNight: form.night === null,
    serveFrom: form.serveFrom ?? 'bath',
    fridge: degrees(form.fridgeC),
    litres: text(rig?.waterLitres),
    fill: degrees(rig?.fillC),
    room: degrees(rig?.roomC),
    altitude: text(rig?.altitudeM),
    lid: rig?.lidOn === undefined ? 'known' : rig.lidOn ? 'on' : 'off',
    filmId: rig?.filmId ?? '',
    linerId: rig?.linerId ?? '',
  };
}

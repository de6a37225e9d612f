/** From what a cook said to a whole job: every value that nobody gave is taken from what is usual, and named. */
import { AIR_LEFT_ML_PER_KG } from '../bag/advice.ts';
import { materialOf } from '../bag/materials.ts';
import { FRIDGE_LIMITS } from '../cure/fridge.ts';
import { limitProfile } from '../hazard/profiles.ts';
import type { Belief } from '../tender/belief.ts';
import { completeDish, type DishAsked } from './complete-dish.ts';
import { PlanFault } from './fault.ts';
import { withShortNames } from './names.ts';
import { type Rig, rigBalance, USUAL_RIG } from './rig.ts';
import { round } from './step.ts';
import type { Default, Job, ServeFrom } from './types.ts';
import { MOST_BAGS, PRACTICE, USUAL_FRIDGE_C, USUAL_NIGHT, USUAL_ODDS } from './usual.ts';
import { type Night, parseServeBy, wallTime } from './zone.ts';

/** What may be said; only the time, the zone and a cut with weight or people must be. */
export interface JobAsked {
  readonly nowMs: number;
  /** `19:30`, `2026-07-03 19:30`, an ISO instant, or milliseconds since 1970. */
  readonly serveBy: string | number;
  /** IANA name. */
  readonly zone: string;
  readonly peopleCount?: number | undefined;
  readonly dishes: readonly DishAsked[];
  readonly oddsFraction?: number | undefined;
  readonly bathC?: number | undefined;
  readonly rig?: Rig | undefined;
  readonly profileId?: string | undefined;
  /** null: steps may fall at any hour. */
  readonly night?: Night | null | undefined;
  readonly serveFrom?: ServeFrom | undefined;
  readonly fridgeC?: number | undefined;
  readonly airMlPerKg?: number | undefined;
  readonly beliefs?: Readonly<Record<string, Belief>> | undefined;
}

/** A whole job, and what was taken for granted in it. */
export interface Completed {
  readonly job: Job;
  readonly defaults: readonly Default[];
}

/** Completes a job. @throws PlanFault that lists every fault at once */
export function completeJob(asked: JobAsked): Completed {
  const faults: string[] = [];
  const defaults: Default[] = [];
  const attempt = <T>(make: () => T): T | null => {
    try {
      return make();
    } catch (error) {
      if (error instanceof PlanFault) faults.push(...error.faults);
      else if (error instanceof RangeError) faults.push(error.message);
      else throw error;
      return null;
    }
  };
  const serveByMs = attempt(() => serveByOf(asked, defaults));
  checkFigures(asked, faults);
  const rig = asked.rig ?? usualRig(defaults);
  attempt(() => checkRig(rig));
  const profile = attempt(() => limitProfile(asked.profileId ?? 'conservative'));
  const fridgeC = asked.fridgeC ?? USUAL_FRIDGE_C;
  const share = asked.peopleCount === undefined ? null : asked.peopleCount / Math.max(1, asked.dishes.length);
  const dishes = asked.dishes.map((dish, i) =>
    attempt(() => completeDish(dish, i, share, fridgeC, defaults)),
  );
  const bags = dishes.reduce((sum, dish) => sum + (dish?.piecesCount ?? 0), 0);
  if (asked.dishes.length === 0) faults.push('no dish was named; expected at least one cut.');
  if (bags > MOST_BAGS) {
    faults.push(
      `${bags} bags are more than the ${MOST_BAGS} that one bath is planned for; fewer or larger pieces.`,
    );
  }
  const ids = dishes.map((dish) => dish?.dishId);
  if (new Set(ids).size < ids.length) faults.push('two dishes have the same id; give each its own.');
  if (faults.length > 0 || serveByMs === null || profile === null) throw new PlanFault(faults);
  nameOthers(asked, defaults);
  const job: Job = {
    nowMs: asked.nowMs,
    serveByMs,
    zone: asked.zone,
    oddsFraction: asked.oddsFraction ?? USUAL_ODDS,
    peopleCount: asked.peopleCount ?? null,
    dishes: withShortNames(dishes.filter((dish) => dish !== null)),
    rig,
    // A setpoint is set by tenths; 165 F is 73.9 C.
    bathC: asked.bathC === undefined ? null : round(asked.bathC),
    profileId: profile.id,
    night: asked.night === undefined ? USUAL_NIGHT : asked.night,
    serveFrom: asked.serveFrom ?? 'bath',
    fridgeC,
    airMlPerKg: asked.airMlPerKg ?? AIR_LEFT_ML_PER_KG,
    beliefs: asked.beliefs ?? {},
  };
  return { job, defaults };
}

function serveByOf(asked: JobAsked, defaults: Default[]): number {
  wallTime(asked.nowMs, asked.zone);
  const text = typeof asked.serveBy === 'number' ? instantText(asked.serveBy) : asked.serveBy;
  const { ms, note } = parseServeBy(text, asked.zone, asked.nowMs);
  const why = /tomorrow|today/.test(note ?? '')
    ? 'No date was given.'
    : 'The clocks are put back in that night.';
  if (note) defaults.push({ field: 'serve by', value: note.replace(/\.$/, ''), why, source: '' });
  return ms;
}

function instantText(ms: number): string {
  if (Number.isFinite(ms) && Math.abs(ms) < 8e15) return new Date(ms).toISOString();
  throw new PlanFault([`serve by ${ms} is no instant; expected milliseconds since 1970.`]);
}

function checkFigures(asked: JobAsked, faults: string[]): void {
  const check = (name: string, value: number | undefined, low: number, high: number, unit: string) => {
    if (value !== undefined && !(value >= low && value <= high)) {
      faults.push(`${name} is ${value}; expected ${low} to ${high} ${unit}.`);
    }
  };
  check('people', asked.peopleCount, 1, 500, '');
  check('odds wanted', asked.oddsFraction, 0.5, 0.99, '(80 % is 0.8)');
  check('bath', asked.bathC, 45, 95, 'C');
  const { codeMaxC, codeSource } = FRIDGE_LIMITS;
  check('fridge', asked.fridgeC, -1, codeMaxC, `C: warmer is too warm for raw meat (${codeSource})`);
  check('air left in a bag', asked.airMlPerKg, 0, 500, 'mL for each kg');
}

function usualRig(defaults: Default[]): Rig {
  const { waterLitres, elementW, insulation, insulationMm, fillC } = USUAL_RIG;
  defaults.push({
    field: 'rig',
    value: `${waterLitres} L of water at ${fillC} C, ${elementW} W, lid on, pump, ${insulationMm} mm of ${insulation} foam`,
    why: 'No rig was described and none has run yet.',
    source: 'the hut kitchen of the demo',
  });
  return USUAL_RIG;
}

function checkRig(rig: Rig): void {
  const faults: string[] = [];
  const check = (name: string, value: number, low: number, high: number, unit: string) => {
    if (!(value >= low && value <= high))
      faults.push(`${name} is ${value}; expected ${low} to ${high} ${unit}.`);
  };
  check('water', rig.waterLitres, 3, 500, 'L');
  check('opening of the box', rig.openingM2, 0.005, 2, 'm2');
  check('brim', rig.brimMm, 50, 2000, 'mm');
  check('lowest level', rig.lowestMm, 0, rig.brimMm, 'mm, under the brim');
  check('fill water', rig.fillC, 1, 90, 'C');
  check('room', rig.roomC, -30, 50, 'C');
  check('altitude', rig.altitudeM, -500, 5000, 'm');
  if (rig.kind === 'described') {
    check('element', rig.elementW, 50, 20_000, 'W');
    check('insulation', rig.insulationMm, 0, 500, 'mm');
    check('lid', rig.lidMm, 0, 500, 'mm');
  }
  if (rig.waterLitres > rig.openingM2 * rig.brimMm) {
    faults.push(
      `${rig.waterLitres} L of water run over a box that holds ${(rig.openingM2 * rig.brimMm).toFixed(1)} L to the brim.`,
    );
  }
  if (faults.length > 0) throw new PlanFault(faults);
  materialOf(rig.filmId);
  materialOf(rig.linerId);
  rigBalance(rig);
}

function nameOthers(asked: JobAsked, defaults: Default[]): void {
  const add = (given: unknown, field: string, value: string, why: string) => {
    if (given === undefined) defaults.push({ field, value, why, source: PRACTICE });
  };
  add(asked.oddsFraction, 'odds wanted', '80 %', 'Four times in five ready in time.');
  add(asked.night, 'night', '22:00 to 06:00', 'Nobody is woken unless the job needs it.');
  add(asked.fridgeC, 'fridge', `${USUAL_FRIDGE_C} C`, 'Where a fridge should be; measure yours.');
  add(asked.profileId, 'rules', 'conservative', 'The stricter of every rule known here.');
}

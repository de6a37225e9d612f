/** Everything the steps are written from, once temperature and schedule are settled. */
import type { Cure } from '../cure/cure.ts';
import type { Schedule } from './batches.ts';
import type { Chill, Reheat } from './chill.ts';
import type { Kitchen } from './kitchen.ts';
import type { Joint, Outcome } from './outcome.ts';
import type { RoomInBox } from './room.ts';
import type { Dish, DishPlan, Job } from './types.ts';
import type { Tail } from './usual.ts';

/** One dish with all that is known of it. */
export interface Course {
  readonly dish: Dish;
  readonly outcome: Outcome;
  readonly plan: DishPlan;
  readonly tail: Tail;
  readonly massKg: number;
  readonly baggedMs: number;
  /** When its cure begins and how long it really is, s. */
  readonly cureStartMs: number | null;
  readonly cure: Cure | null;
  /** Cooked before and made hot again; null when it goes from the bath to the table. */
  readonly cold: { readonly chill: Chill; readonly reheat: Reheat; readonly reheatInMs: number } | null;
}

/** A settled plan before it is written down. */
export interface Frame {
  readonly kitchen: Kitchen;
  readonly job: Job;
  readonly bathC: number;
  readonly schedule: Schedule;
  readonly joint: Joint;
  readonly courses: readonly Course[];
  readonly room: RoomInBox;
}

/** Whether all dishes together fall short of the odds asked for, five-minute steps aside. */
export function oddsShort({ courses, job }: Frame): boolean {
  const odds = courses.reduce((product, { plan }) => product * plan.oddsFraction, 1);
  return odds < job.oddsFraction - ODDS_SLACK;
}

/** Odds this near what was asked for count as met: rounding to five minutes moves them so much. */
export const ODDS_SLACK = 0.01;

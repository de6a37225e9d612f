/** A lamb shoulder that is in the bath, and the log of its water, for the tests of a running plan. */
import type { Measured } from '../../shared/plan/measured.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { type Outlook, reforecast } from '../../shared/plan/reforecast.ts';
import type { ForkAnswer } from '../../shared/tender/belief.ts';
import { H_MS, lambJob, stepOf } from './plan-jobs.ts';

export const plan = planBackwards(lambJob());
export const dish = plan.dishes[0]!;
export const bagId = dish.bagIds[0]!;
export const onMs = stepOf(plan, 'bath-on').atMs;
export const inMs = dish.foodInMs;
export const heatMs = stepOf(plan, 'bath-hot').atMs - onMs;

/** The bath as foreseen: heated in a straight line, then held; `away` takes degrees off. */
export function log(
  untilMs: number,
  away: (ms: number) => number = () => 0,
  everyMs = 30_000,
): Measured['water'] {
  const rows: { atMs: number; celsius: number }[] = [];
  for (let ms = onMs; ms <= untilMs; ms += everyMs) {
    const foreseen = Math.min(74, 12 + (62 * (ms - onMs)) / heatMs);
    rows.push({ atMs: ms, celsius: foreseen - away(ms) });
  }
  return rows;
}

export function running(
  hours: number,
  changes: Partial<Measured> = {},
  tests: readonly ForkAnswer[] = [],
): Outlook {
  const nowMs = inMs + hours * H_MS;
  return reforecast(plan, {
    nowMs,
    water: log(nowMs),
    bags: [
      {
        bagId,
        inAtMs: inMs,
        tests: tests.map((answer, i) => ({ atMs: nowMs - (tests.length - i) * 60_000, answer })),
      },
    ],
    ...changes,
  });
}

/** 40 min without heat from two hours after the food went in: 6 C down, 25 min back up. */
export const cutAway = (ms: number) => {
  const from = inMs + 2 * H_MS;
  const down = Math.min(6, Math.max(0, (6 * (ms - from)) / (40 * 60_000)));
  const up = Math.max(0, (6 * (ms - from - 40 * 60_000)) / (25 * 60_000));
  return Math.max(0, down - up);
};

/** What in a running cook differs from the plan, in words, with what it does to the time. */
import { limitProfile } from '../hazard/profiles.ts';
import { durationText } from '../units/duration.ts';
import type { Kitchen } from './kitchen.ts';
import type { Measured } from './measured.ts';
import { rigSpread } from './rig.ts';
import type { Plan } from './types.ts';
import {
  type CoolDown,
  coolDown,
  coolPaceOf,
  firstHotMs,
  GAP_MS,
  sagsOf,
  type WaterRow,
} from './water-log.ts';
import { clockText } from './zone.ts';

/** One thing that differs from the plan. */
export interface Change {
  readonly kind:
    | 'late-heat-up'
    | 'dip'
    | 'heat-lost'
    | 'no-heat'
    | 'gap'
    | 'food-in'
    | 'fork-test'
    | 'dinner-moved';
  readonly sinceMs: number;
  readonly words: string;
  /** For a bath without heat: when it passes the temperatures that matter. */
  readonly coolDown?: readonly CoolDown[];
}

/** Everything that differs, in order of time. */
export function changesOf(
  kitchen: Kitchen,
  old: Plan,
  anew: Plan,
  measured: Measured,
  rows: readonly WaterRow[],
  setpointC: number,
): Change[] {
  const why = [...lateHeat(old, anew, measured, rows, setpointC), ...dinner(old, measured)];
  const found = [
    ...why,
    ...sags(old, anew, measured, rows, setpointC),
    ...noHeat(kitchen, measured, rows),
    ...gaps(old, rows),
    ...foodIn(old, anew, measured.nowMs, why.length > 0),
    ...tests(old, anew, measured),
  ];
  return found.sort((a, b) => a.sinceMs - b.sinceMs);
}

/** How well a fall that was seen tells the rest of it, standard deviation as a share (judgement). */
const SEEN_SPREAD = 0.1;

const minutes = (ms: number) => durationText(ms / 1000);

/**
 * How the middle of readiness moved, in words: of one dish, or of the one that moved most. What has passed its middle
 * moves no more.
 */
function effect(old: Plan, anew: Plan, nowMs: number, dishId?: string): string {
  const moved = anew.dishes.flatMap((dish) => {
    if (dishId !== undefined && dish.dishId !== dishId) return [];
    const was = old.dishes.find((one) => one.dishId === dish.dishId)?.ready.p50Ms ?? null;
    const is = dish.ready.p50Ms;
    return was === null || is === null || is <= nowMs + 60_000 ? [] : [is - was];
  });
  if (moved.length === 0) return 'It is more likely ready than not.';
  const most = moved.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a), 0);
  if (Math.abs(most) < 3 * 60_000) return 'Readiness hardly moves.';
  return `The middle of readiness moves ${minutes(Math.abs(most))} ${most > 0 ? 'later' : 'earlier'}.`;
}

/** Later than the latest foreseen by less is not worth a word, ms. */
const LATE_MS = 2 * 60_000;

function lateHeat(
  old: Plan,
  anew: Plan,
  measured: Measured,
  rows: readonly WaterRow[],
  setpointC: number,
): Change[] {
  const planned = old.steps.find((step) => step.kind === 'bath-hot');
  if (!planned?.bandMs || rows.length === 0) return [];
  // A setpoint that was raised on the way is no fault of the heat-up.
  const hotMs = firstHotMs(rows, Math.min(setpointC, old.bathC));
  const foreseen = anew.steps.find((step) => step.kind === 'bath-hot')?.atMs ?? measured.nowMs;
  const lateMs = (hotMs ?? foreseen) - planned.bandMs[1];
  if (lateMs < LATE_MS) return [];
  const is = hotMs === null ? 'will be' : 'was';
  const plannedOnMs = old.steps.find((step) => step.kind === 'bath-on')?.atMs ?? rows[0]!.atMs;
  const begunLateMs = (measured.bathOnMs ?? rows[0]!.atMs) - plannedOnMs;
  const slow = lateMs - Math.max(0, begunLateMs) >= LATE_MS;
  const why = slow
    ? 'check lid, element, plug and how much water is in.'
    : `it was switched on ${minutes(begunLateMs)} later than planned.`;
  const words = `The bath ${is} hot ${minutes(lateMs)} later than the latest foreseen: ${why} ${effect(old, anew, measured.nowMs)}`;
  return [{ kind: 'late-heat-up', sinceMs: planned.bandMs[1], words }];
}

function sags(
  old: Plan,
  anew: Plan,
  measured: Measured,
  rows: readonly WaterRow[],
  setpointC: number,
): Change[] {
  const inMs = measured.bags.flatMap((bag) => (bag.inAtMs === null ? [] : [bag.inAtMs]));
  return sagsOf(rows, setpointC, inMs).map((sag): Change => {
    const untilMs = sag.backMs ?? measured.nowMs;
    const long = `${minutes(untilMs - sag.fromMs)} from ${clockText(sag.fromMs, old.zone)}, down to ${sag.lowestC.toFixed(1)} C${sag.backMs === null ? ', and not back yet' : ''}`;
    if (sag.kind === 'dip') {
      const words = `Cold food cooled the water: ${long}. ${effect(old, anew, measured.nowMs)}`;
      return { kind: 'dip', sinceMs: sag.fromMs, words };
    }
    const words = `The bath lost heat: ${long}. Power, element, lid or pump. ${effect(old, anew, measured.nowMs)} What was too cold for how long is judged by the hazards, not here.`;
    return { kind: 'heat-lost', sinceMs: sag.fromMs, words };
  });
}

/** No heat now: how long until the temperatures that matter are passed. */
function noHeat(kitchen: Kitchen, measured: Measured, rows: readonly WaterRow[]): Change[] {
  const last = rows.at(-1);
  if (measured.heatAvailable !== false || !last) return [];
  const profile = limitProfile(kitchen.job.profileId);
  const { otherC } = profile.hotHold;
  const limits = [...new Set([profile.warmBand?.highC ?? otherC, otherC, profile.comeUp.highC])].filter(
    (c) => c < last.celsius,
  );
  const { balance, job } = kitchen;
  const pace = coolPaceOf(rows, balance, job.rig.lidOn);
  const spread = pace === 1 ? rigSpread(job.rig).loss : SEEN_SPREAD;
  const falls = coolDown(balance, last.celsius, limits, job.rig.lidOn, spread, pace);
  const at = (s: number) => clockText(measured.nowMs + 1000 * s, kitchen.job.zone);
  const list = falls.map(
    (f) => `${f.celsius.toFixed(1)} C at about ${at(f.atS)} (${at(f.lowS)} to ${at(f.highS)})`,
  );
  const words =
    list.length > 0
      ? `There is no heat. Lid on, hands off: with it closed the water passes ${list.join(', ')}.`
      : `There is no heat and the water is already under ${otherC.toFixed(1)} C: the time in the danger zone is running.`;
  return [{ kind: 'no-heat', sinceMs: last.atMs, words, coolDown: falls }];
}

function gaps(old: Plan, rows: readonly WaterRow[]): Change[] {
  return rows.flatMap((row, i): Change[] => {
    const before = rows[i - 1];
    if (!before || row.atMs - before.atMs <= GAP_MS) return [];
    const words = `Nothing was measured for ${minutes(row.atMs - before.atMs)} from ${clockText(before.atMs, old.zone)}: nothing in it counts toward safety.`;
    return [{ kind: 'gap', sinceMs: before.atMs, words }];
  });
}

/** Food that went in, or goes in, this much earlier or later than planned is told, ms. */
const MOVED_MS = 20 * 60_000;

/** `explained`: why what is still to go in was moved is told already. */
function foodIn(old: Plan, anew: Plan, nowMs: number, explained: boolean): Change[] {
  return anew.dishes.flatMap((dish): Change[] => {
    const was = old.dishes.find((one) => one.dishId === dish.dishId)?.foodInMs ?? dish.foodInMs;
    const away = dish.foodInMs - was;
    if (Math.abs(away) < MOVED_MS) return [];
    const name = anew.job.dishes.find((one) => one.dishId === dish.dishId)?.name ?? '';
    const isIn = dish.foodInMs <= nowMs;
    if (!isIn && explained) return [];
    const words = `${name} ${isIn ? 'went in' : 'goes in'} ${minutes(Math.abs(away))} ${away > 0 ? 'later' : 'earlier'} than planned${isIn ? '' : `, at ${clockText(dish.foodInMs, old.zone)}`}. ${effect(old, anew, nowMs, dish.dishId)}`;
    return [{ kind: 'food-in', sinceMs: isIn ? dish.foodInMs : nowMs, words }];
  });
}

const ANSWER = { 'not-yet': 'not yet', nearly: 'nearly', ready: 'ready' } as const;

function tests(old: Plan, anew: Plan, measured: Measured): Change[] {
  const dishOf = (bagId: string) => old.dishes.find((dish) => dish.bagIds.includes(bagId))?.dishId;
  return measured.bags.flatMap((bag) =>
    (bag.tests ?? []).map(({ atMs, answer }): Change => {
      const words = `Fork test of ${bag.bagId} at ${clockText(atMs, old.zone)}: ${ANSWER[answer]}. ${effect(old, anew, measured.nowMs, dishOf(bag.bagId))}`;
      return { kind: 'fork-test', sinceMs: atMs, words };
    }),
  );
}

function dinner(old: Plan, { nowMs, serveByMs }: Measured): Change[] {
  if (serveByMs === undefined || serveByMs === old.serveByMs) return [];
  const away = serveByMs - old.serveByMs;
  const words = `Dinner is ${minutes(Math.abs(away))} ${away > 0 ? 'later' : 'earlier'} than planned, at ${clockText(serveByMs, old.zone)}.`;
  return [{ kind: 'dinner-moved', sinceMs: nowMs, words }];
}

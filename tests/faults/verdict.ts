import type { AlarmId } from '../../shared/wire/alarm.ts';
import type { Outcome } from './judge.ts';
import type { Kind, LimitId, Named } from './kind.ts';

/** A limit that a run broke, in words. */
export interface Broken {
  readonly limit: LimitId;
  readonly text: string;
}

/** When one of these alarms first stood, s from where the limit counts; null = never. */
export function namedAfter(outcome: Outcome, { by, ofHeat }: Named): { atS: number; by: AlarmId } | null {
  let first: { atS: number; by: AlarmId } | null = null;
  for (const alarmId of by) {
    const atS = outcome.named[alarmId];
    if (atS !== undefined && (first === null || atS < first.atS)) first = { atS, by: alarmId };
  }
  const fromS = ofHeat ? (outcome.firstAskedS ?? 0) : 0;
  return first && { ...first, atS: Math.max(0, first.atS - fromS) };
}

/** Every limit that the run broke, by the plant's truth. */
export function brokenLimits({ limits }: Kind, outcome: Outcome): Broken[] {
  const broken: Broken[] = [];
  const add = (limit: LimitId, text: string) => broken.push({ limit, text });
  if (outcome.overLimitC > 0) add('water', `water ${outcome.overLimitC.toFixed(1)} °C over its limit`);
  if (outcome.uncoveredS > 60) add('element', `element heated bare for ${Math.round(outcome.uncoveredS)} s`);
  for (const one of limits.named ?? []) {
    const after = namedAfter(outcome, one);
    const limit = one.limit ?? 'named';
    if (after === null) add(limit, `not named by ${one.by.join(' or ')}`);
    else if (after.atS > one.withinS) add(limit, `${after.by} only after ${Math.round(after.atS)} s`);
  }
  for (const alarmId of limits.never ?? [])
    if (outcome.named[alarmId] !== undefined) add('never', `${alarmId} stood, which is untrue`);
  if (limits.heatOffS !== undefined && (outcome.lastHeatS ?? 0) > limits.heatOffS)
    add('heat off', `heat until ${Math.round(outcome.lastHeatS ?? 0)} s`);
  if (limits.unaskedS !== undefined && outcome.unaskedS > limits.unaskedS)
    add('unasked', `heat unasked for ${Math.round(outcome.unaskedS)} s`);
  if (limits.highS !== undefined) {
    const sinceS = (outcome.highS ?? Number.POSITIVE_INFINITY) - (outcome.firstUnaskedS ?? 0);
    if (sinceS > limits.highS)
      add('highest alarm', `highest alarm after ${Math.round(sinceS)} s of heat unasked`);
  }
  if (limits.aheadS !== undefined && outcome.elementShowsS !== null) {
    const told = Math.min(outcome.named['water-low'] ?? 1e9, outcome.named['water-low-soon'] ?? 1e9);
    const aheadS = outcome.elementShowsS - told;
    if (aheadS < limits.aheadS)
      add('ahead', `low water told ${Math.round(aheadS / 60)} min before the element shows`);
  }
  return broken;
}

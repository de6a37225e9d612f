import type { AlarmView, Priority } from '../../../shared/wire/alarm.ts';
import { isHeard, worstOf } from '../words/alarms.ts';

/** How long a touch on "quiet" keeps this phone quiet. */
export const QUIET_MS = 120_000;

export interface SoundQuestion {
  readonly alarms: readonly AlarmView[];
  /** No data for 5 s, and a cook was running when last heard. */
  readonly lostWithCook: boolean;
  readonly nowMs: number;
  readonly quietUntilMs: number;
  /** What already stood when quiet was asked for: only this is quieted. */
  readonly quietKeys: ReadonlySet<string>;
}

/** A key that changes when an alarm comes anew, so that an old quiet does not cover it. */
export function alarmKey(alarm: AlarmView): string {
  return `${alarm.alarmId}@${alarm.sinceMs}`;
}

export const LOST_KEY = 'not-connected';

/** Keys of all that would sound now: unacknowledged alarms, and the lost connection of a running cook. */
export function soundingKeys(alarms: readonly AlarmView[], lostWithCook: boolean): Set<string> {
  const keys = new Set(alarms.filter(isHeard).map(alarmKey));
  if (lostWithCook) keys.add(LOST_KEY);
  return keys;
}

/**
 * Which burst this phone should sound now, or null for silence. Quiet is this phone's own affair and for a
 * time; it is not an acknowledgement and does not cover what comes later. A lost connection while a cook is
 * running counts as medium: the bath may be well, but nobody here would know.
 */
export function burstDue(question: SoundQuestion): Priority | null {
  const quiet = question.nowMs < question.quietUntilMs ? question.quietKeys : new Set<string>();
  const loud = question.alarms.filter((alarm) => isHeard(alarm) && !quiet.has(alarmKey(alarm)));
  const worst = worstOf(loud);
  if (worst === 'high') return worst;
  if (question.lostWithCook && !quiet.has(LOST_KEY)) return 'medium';
  return worst;
}

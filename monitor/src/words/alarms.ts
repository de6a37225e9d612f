import type { AlarmState, AlarmView, Priority } from '../../../shared/wire/alarm.ts';
import { clockText } from './clock.ts';

export const PRIORITY_WORDS: Record<Priority, { mark: string; text: string }> = {
  high: { mark: '!!!', text: 'High priority' },
  medium: { mark: '!!', text: 'Medium priority' },
  low: { mark: '!', text: 'Low priority' },
};

export const STATE_WORDS: Record<AlarmState, string> = {
  normal: 'normal',
  unacknowledged: 'nobody has acknowledged it',
  acknowledged: 'acknowledged, still so',
  'returned-unacknowledged': 'over now, nobody has acknowledged it',
  latched: 'held until a person clears it',
  shelved: 'shelved: set aside for a time',
  'suppressed-by-design': 'suppressed by design: as it should be at this stage',
  'out-of-service': 'out of service',
};

const RANK: Record<Priority, number> = { high: 0, medium: 1, low: 2 };
const HIDDEN: ReadonlySet<AlarmState> = new Set([
  'normal',
  'shelved',
  'suppressed-by-design',
  'out-of-service',
]);

/** True while a person still has to say that they know. */
export function wantsAcknowledge(alarm: AlarmView): boolean {
  return alarm.state === 'unacknowledged' || alarm.state === 'returned-unacknowledged';
}

/** True while it is to be heard: a lesser consequence of what somebody has acknowledged is shown and not heard. */
export function isHeard(alarm: AlarmView): boolean {
  return wantsAcknowledge(alarm) && alarm.rings;
}

/** Alarms to show: unacknowledged first, then by priority, then the oldest. */
export function standing(alarms: readonly AlarmView[]): AlarmView[] {
  return alarms
    .filter((alarm) => !HIDDEN.has(alarm.state))
    .sort(
      (a, b) =>
        Number(wantsAcknowledge(b)) - Number(wantsAcknowledge(a)) ||
        RANK[a.priority] - RANK[b.priority] ||
        a.sinceMs - b.sinceMs,
    );
}

/** Alarms that are computed but set aside or out of service: listed small, never forgotten. */
export function setAside(alarms: readonly AlarmView[]): AlarmView[] {
  return alarms.filter((alarm) => alarm.state === 'shelved' || alarm.state === 'out-of-service');
}

const SHORT: Partial<Record<AlarmState, string>> = {
  shelved: 'shelved',
  'suppressed-by-design': 'suppressed by design',
  'out-of-service': 'out of service',
};

/** Why an alarm is not heard, and until when, in few words. */
export function asideText({ state, aside }: AlarmView): string {
  const short = SHORT[state] ?? state;
  if (aside === null) return short;
  const by = aside.by === null ? '' : ` by ${aside.by}`;
  const until = aside.untilMs === null ? '' : ` until ${clockText(aside.untilMs)}`;
  const once = aside.once ? ' or until its cause has gone' : '';
  return `${short}${by}${until}${once}: ${aside.reason}`;
}

/** The highest priority among alarms, or null where there are none. */
export function worstOf(alarms: readonly AlarmView[]): Priority | null {
  return alarms.reduce<Priority | null>(
    (worst, alarm) => (worst === null || RANK[alarm.priority] < RANK[worst] ? alarm.priority : worst),
    null,
  );
}

import type { AlarmId } from '../../shared/wire/alarm.ts';
import { isQuiet } from './quiet.ts';
import { type ReachState, ringingOf } from './state.ts';
import { note, type PlanInput, type Rules, type Work } from './work.ts';

/**
 * Silences the sounder for what rings now, for the minutes configured, and for nothing that comes after. It is no
 * acknowledgement: calling goes on. Gives until when, or null where nothing rings.
 */
export function silence(work: Work, by: string): number | null {
  const { next, input, parts } = work;
  if (next.incidents.length === 0) return null;
  const untilClockMs = input.clockMs + parts.rules.silenceMs;
  next.silence = { untilClockMs, ringings: next.incidents.flatMap((one) => one.members.map(ringingOf)) };
  note(work, {
    about: 'sounder',
    alarmIds: next.incidents.flatMap((one) => one.members.map((member) => member.alarmId)),
    channelId: 'sounder',
    channel: 'the sounder',
    outcome: 'silenced',
    detail: `by ${by} for ${parts.rules.silenceMs / 60_000} min; not acknowledged, so calling goes on`,
  });
  return untilClockMs;
}

/**
 * Alarms that the sounder keeps still about now. High priority is never among them but where a person has silenced that
 * very ringing, and quiet hours count only by a clock that can be trusted.
 */
export function hushedAlarms(
  { silence: now, incidents }: ReachState,
  { clockMs, wallMs, wallTrusted }: Pick<PlanInput, 'clockMs' | 'wallMs' | 'wallTrusted'>,
  { quietHours, zone }: Pick<Rules, 'quietHours' | 'zone'>,
): ReadonlySet<AlarmId> {
  const silenced = now !== null && clockMs < now.untilClockMs ? now.ringings : [];
  const sleeping = wallTrusted && isQuiet(quietHours, zone, wallMs);
  const hushed = incidents
    .flatMap(({ members }) => members)
    .filter((one) => silenced.includes(ringingOf(one)) || (sleeping && one.priority !== 'high'));
  return new Set(hushed.map((member) => member.alarmId));
}

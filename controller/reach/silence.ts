import { note, type Work } from './work.ts';

/**
 * Silences the sounder for what rings now, for the minutes configured, and for nothing that comes after. It is no
 * acknowledgement: calling goes on. Gives until when, or null where nothing rings.
 */
export function silence(work: Work, by: string): number | null {
  const { next, input, parts } = work;
  if (next.incidents.length === 0) return null;
  const untilClockMs = input.clockMs + parts.rules.silenceMs;
  next.silence = { untilClockMs, incidentIds: next.incidents.map((one) => one.id) };
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

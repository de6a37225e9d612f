import { healthOf } from './health.ts';
import { post } from './letters.ts';
import { reminderMessage } from './words.ts';
import { heldByQuiet, note, personOf, type Work } from './work.ts';

/** A step of a plan that is due. Lowest of all: it waits behind every alarm, and is never repeated. */
export interface Reminder {
  /** The same for the same step and time. */
  readonly key: string;
  readonly title: string;
  readonly text: string;
  /** The job needs it in the night; else quiet hours hold it back for whoever has them. */
  readonly nightNeeded: boolean;
}

/** Writes to each person who is not asleep, on their first channel that works; gives how many were written to. */
export function remind(work: Work, reminder: Reminder): number {
  let written = 0;
  for (const person of work.parts.roster.people) {
    const channel = person.channels.find((one) => !healthOf(work.next, one.id).failing) ?? person.channels[0];
    if (!channel) continue;
    if (!reminder.nightNeeded && heldByQuiet(work, person.quietHours, 'low')) {
      note(work, {
        about: 'reminder',
        channelId: channel.id,
        channel: channel.label,
        outcome: 'held',
        detail: `quiet hours until ${person.quietHours?.to ?? ''}; a reminder does not wait for their end`,
        person: personOf(channel),
      });
      continue;
    }
    written += 1;
    const message = reminderMessage(work.input, work.parts.rules, channel, reminder);
    post(work, { channelId: channel.id, incidentIds: [], steps: {}, message });
  }
  return written;
}

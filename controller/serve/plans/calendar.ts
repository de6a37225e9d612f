import ical, { ICalAlarmType, ICalCalendarMethod } from 'ical-generator';
import { calendarEntries } from '../../../shared/plan/calendar.ts';
import { wholePlan } from '../../../shared/plan/form.ts';
import type { StoredPlan } from '../../../shared/wire/plan.ts';

/**
 * A plan as a calendar file (RFC 5545), one entry for each thing a person does and for the span in which a dish is
 * likely ready. Times are in UTC (section 3.3.5, form 2): an instant needs no VTIMEZONE, every calendar shows it in
 * its owner's zone, and a change of the clocks cannot move it. Physics is not in it: nobody has to get up for it.
 */
export function planCalendar(stored: StoredPlan): string {
  const calendar = ical({
    name: stored.name,
    prodId: { company: 'Bathkeeper', product: 'plan', language: 'EN' },
    method: ICalCalendarMethod.PUBLISH,
  });
  for (const entry of calendarEntries(wholePlan(stored), stored.planId, stored.revision)) {
    const event = calendar.createEvent({
      id: entry.uid,
      sequence: entry.sequence,
      stamp: new Date(stored.madeAtMs),
      start: new Date(entry.startMs),
      end: new Date(entry.endMs),
      summary: entry.title,
      description: entry.description,
    });
    if (entry.alarmLeadS !== null) {
      event.createAlarm({
        type: ICalAlarmType.display,
        trigger: entry.alarmLeadS,
        description: entry.title,
      });
    }
  }
  // The library leaves the last line open; section 3.1 wants each delimited by CR LF.
  return `${calendar.toString()}\r\n`;
}

import ICAL from 'ical.js';
import { afterEach, describe, expect, it } from 'vitest';
import { calendarEntries } from '../../shared/plan/calendar.ts';
import { wholePlan } from '../../shared/plan/form.ts';
import type { StoredPlan } from '../../shared/wire/plan.ts';
import { LAMB, type PlanBed, planBed } from './plan-desk.ts';

let open: PlanBed | null = null;
afterEach(async () => {
  await open?.close();
  open = null;
});

/** RFC 5545, parsed by a library that did not write it (ical.js). */
function parsed(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  const events = calendar.getAllSubcomponents('vevent').map((one) => ({
    event: new ICAL.Event(one),
    triggers: one
      .getAllSubcomponents('valarm')
      .map((alarm) => (alarm.getFirstPropertyValue('trigger') as { toSeconds(): number }).toSeconds()),
    stamp: one.getFirstPropertyValue('dtstamp') as { toJSDate(): Date; zone: { tzid: string } },
  }));
  return { calendar, events };
}

async function calendarOf(changes: Partial<typeof LAMB> = {}) {
  open = await planBed();
  const cookie = await open.bed.pair();
  const stored = (await open.put('supper', { ...LAMB, ...changes }, cookie)).json<StoredPlan>();
  const answer = await open.bed.ask({ path: '/api/plans/supper/calendar.ics' });
  return { stored, answer, ...parsed(answer.text) };
}

describe('the calendar of a plan', () => {
  it('is a file of RFC 5545 with one entry a step, times as instants, read back by another library', async () => {
    const { stored, answer, calendar, events } = await calendarOf();
    expect(answer.status).toBe(200);
    expect(answer.headers['content-type']).toMatch(/^text\/calendar; charset=utf-8/);
    expect(answer.headers['content-disposition']).toBe('attachment; filename="bathkeeper-supper.ics"');
    expect(calendar.getFirstPropertyValue('version')).toBe('2.0');
    expect(calendar.getFirstPropertyValue('prodid')).toMatch(/Bathkeeper/);
    const entries = calendarEntries(wholePlan(stored), 'supper', 1);
    expect(events).toHaveLength(entries.length);
    expect(entries.length).toBeGreaterThan(8);
    const toSecond = (ms: number) => Math.floor(ms / 1000) * 1000;
    for (const [i, { event, triggers, stamp }] of events.entries()) {
      const entry = entries[i]!;
      expect(event.uid).toBe(entry.uid);
      expect(event.sequence).toBe(0);
      expect(event.summary).toBe(entry.title);
      expect(event.description).toBe(entry.description);
      expect(event.startDate.zone.tzid).toBe('UTC');
      expect(event.startDate.toJSDate().getTime()).toBe(toSecond(entry.startMs));
      expect(event.endDate.toJSDate().getTime()).toBe(toSecond(entry.endMs));
      expect(triggers).toEqual(entry.alarmLeadS === null ? [] : [-entry.alarmLeadS + 0]);
      expect(stamp.toJSDate().getTime()).toBe(toSecond(stored.madeAtMs));
    }
  });

  it('keeps to lines of 75 octets that end in CR LF (RFC 5545 section 3.1)', async () => {
    const { answer } = await calendarOf();
    expect(answer.text.endsWith('\r\n')).toBe(true);
    const lines = answer.text.split('\r\n');
    expect(lines.some((line) => /[\r\n]/.test(line))).toBe(false);
    for (const line of lines) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
  });

  it('keeps its entries the same things when the plan is changed, with a higher sequence', async () => {
    const { events } = await calendarOf();
    const cookie = await open!.bed.pair();
    await open!.put('supper', { ...LAMB, serveBy: '2026-11-27 20:15' }, cookie, 1);
    const again = parsed((await open!.bed.ask({ path: '/api/plans/supper/calendar.ics' })).text);
    expect(new Set(again.events.map(({ event }) => event.uid))).toEqual(
      new Set(events.map(({ event }) => event.uid)),
    );
    for (const { event } of again.events) expect(event.sequence).toBe(1);
    const plate = (all: typeof events) =>
      all
        .find(({ event }) => event.uid.startsWith('supper.plate-'))!
        .event.startDate.toJSDate()
        .getTime();
    expect(plate(again.events) - plate(events)).toBe(45 * 60_000);
  });

  it('shows the same instants over a change of the clocks', async () => {
    // Summer time of Zurich ends on 2027-10-31 at 03:00 (EU directive 2000/84/EC: last Sunday of October, 01:00 UTC).
    const { stored, events } = await calendarOf({ serveBy: '2027-10-31 12:00' });
    const plate = events.find(({ event }) => event.uid.startsWith('supper.plate-'))!.event;
    expect(stored.plan.serveByMs).toBe(Date.UTC(2027, 9, 31, 11, 0));
    expect(plate.startDate.toJSDate().getTime()).toBe(
      wholePlan(stored).steps.find((step) => step.kind === 'plate')!.atMs,
    );
  });
});

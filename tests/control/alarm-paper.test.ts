import { describe, expect, it } from 'vitest';
import { ALARM_IDS, ALARMS } from '../../controller/tick/alarm/table.ts';
import { CHECKS } from '../../controller/tick/supervise/all.ts';
import { alarmIdSchema } from '../../shared/wire/alarm.ts';
import { alarmTable, printedTable } from './alarm-paper.ts';

// Rules of rationalisation after ISA-18.2 (each alarm has a cause, a consequence and an action), from memory.
describe('the table of alarms', () => {
  it('is printed in the paper as it is', () => {
    expect(printedTable()).toBe(alarmTable());
  });

  it('has an entry for each id on the wire and a check for each entry, and no other', () => {
    expect(ALARM_IDS.toSorted()).toEqual(alarmIdSchema.options.toSorted());
    expect(CHECKS.length).toBe(ALARM_IDS.length);
  });

  it('says of each what it means, what follows, what to do and by when, all in sentences', () => {
    for (const id of ALARM_IDS) {
      const { cause, consequence, action, respondS, onDelayS, offDelayS } = ALARMS[id];
      for (const text of [cause, consequence, action]) expect(text, id).toMatch(/^[A-Z].{10,}\.$/);
      expect(respondS, id).toBeGreaterThan(0);
      expect(Math.min(onDelayS, offDelayS), id).toBeGreaterThanOrEqual(0);
      expect(onDelayS, id).toBeLessThanOrEqual(respondS);
    }
  });

  it('leaves at least half of the time to respond after the next person was called', () => {
    for (const id of ALARM_IDS) {
      const { escalateAfterMin, respondS, priority } = ALARMS[id];
      if (priority === 'low') expect(escalateAfterMin, id).toBeNull();
      else expect((escalateAfterMin ?? Infinity) * 60, id).toBeLessThanOrEqual(respondS / 2);
    }
  });

  it('lets nothing of high priority and no trip be set aside', () => {
    for (const id of ALARM_IDS) {
      const { priority, trips, latching, shelveMostMin, mayLeaveService } = ALARMS[id];
      if (priority !== 'high' && !trips && !latching) continue;
      expect([shelveMostMin, mayLeaveService], id).toEqual([0, false]);
    }
  });

  it('names no alarm as its own consequence, nor two as consequences of each other', () => {
    for (const id of ALARM_IDS)
      for (const cause of ALARMS[id].follows) {
        expect(cause).not.toBe(id);
        expect(ALARMS[cause].follows, `${id} and ${cause}`).not.toContain(id);
      }
  });
});

import { describe, expect, it } from 'vitest';
import { ALARMS } from '../../controller/tick/alarm/table.ts';
import { causeWords, sawExpected } from '../../monitor/src/words/trip.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import { runFault } from './fault-run.ts';
import { kindOf } from './kinds.ts';
import { World } from './world.ts';

/** Kinds that between them make nearly every alarm stand, none of them long. */
const KINDS = [
  'only switch welds',
  'regulating switch welds, the board feels it',
  'hot water poured in, far too much',
  'over the hard maximum',
  'level switch says dry',
  'probe absent, heating up',
  'probe out of the water, holding',
  'probe jumping, holding',
  'probe stuck, heating up',
  'element dead, heating up',
  'board silent',
  'lease not honoured',
  'log not writing',
  'nobody there',
  'probe suddenly reads low',
  'second probe wrong',
  'cold water over warm food',
  'lid off, holding',
  'pump stops, heating up',
  'second probe lost',
  'level switch silent',
  'left alone, then no way to a person works',
  'ticks late',
  'controller restarts',
  'filled less than the rig knows',
  'clock stepped',
  'food that nobody entered',
];

/** Every alarm that stood, with its words. */
function details(): Map<AlarmId, string> {
  const found = new Map<AlarmId, string>();
  const step = World.prototype.step;
  World.prototype.step = function (this: World) {
    const second = step.call(this);
    for (const { to, alarmId, detail } of second.output.alarms)
      if (to === 'unacknowledged' && !found.has(alarmId)) found.set(alarmId, detail);
    return second;
  };
  try {
    for (const kind of KINDS) runFault(kindOf(kind), 1);
  } finally {
    World.prototype.step = step;
  }
  return found;
}

/** Alarms without a number on both sides, because what they are about is none. */
const NO_NUMBER: readonly AlarmId[] = ['unattended-lacks', 'nobody-reachable', 'load-unexplained'];

describe('the words of a check', () => {
  const all = [...details()];

  it('come for nearly every alarm in these kinds', () => {
    expect(all.length).toBeGreaterThan(30);
  });

  it('say what was seen and what was expected, with a number, and the alarm says what to do', () => {
    for (const [alarmId, detail] of all) {
      const { saw, expected } = sawExpected(detail);
      expect(expected, `${alarmId}: ${detail}`).not.toBeNull();
      expect(saw.length, alarmId).toBeGreaterThan(5);
      if (!NO_NUMBER.includes(alarmId)) expect(`${saw} ${expected}`, alarmId).toMatch(/\d/);
      expect(ALARMS[alarmId].action.length, alarmId).toBeGreaterThan(10);
    }
  });

  it('carry both numbers where a trip rests on what the rig is like', () => {
    for (const [alarmId, detail] of all) {
      if (
        ![
          'rising-unasked',
          'heat-no-rise',
          'loss-high',
          'rig-drift',
          'over-setpoint',
          'probe-stuck',
        ].includes(alarmId)
      )
        continue;
      const { saw, expected } = sawExpected(detail);
      expect(saw, alarmId).toMatch(/\d/);
      expect(expected, alarmId).toMatch(/\d/);
    }
  });
});

describe('the words of a trip', () => {
  it('are taken apart into what was seen and what was expected, or stay whole', () => {
    expect(sawExpected('Saw 72.8 °C; expected at most 72.5 °C.')).toEqual({
      saw: '72.8 °C.',
      expected: 'At most 72.5 °C.',
    });
    expect(sawExpected('The board does not answer; expected it to.').saw).toBe('The board does not answer.');
    expect(sawExpected('Something else.')).toEqual({ saw: 'Something else.', expected: null });
  });

  it('never promise a clearing while the cause stands, and send to the bath where that is asked', () => {
    for (const acknowledged of [true, false]) {
      expect(causeWords({ active: true, acknowledged, atBathOnly: true })).toMatch(
        /^still so.*mend it; then/,
      );
      expect(causeWords({ active: false, acknowledged, atBathOnly: true })).toMatch(/at the bath$/);
      expect(causeWords({ active: false, acknowledged, atBathOnly: false })).not.toMatch(/bath/);
    }
  });
});

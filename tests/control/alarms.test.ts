import { describe, expect, it } from 'vitest';
import { statusOf } from '../../controller/tick/status.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import { type BenchCook, benchCook, hutBags, say } from './cook.ts';

const stateOf = (cook: BenchCook, id: AlarmId) => cook.state().alarms.find((a) => a.alarmId === id)?.state;
const plant = (cook: BenchCook) => cook.rig.plant!;

function withFood(setpointC = 68): BenchCook {
  const cook = benchCook({ startC: setpointC });
  cook.say(say.start(setpointC, true));
  cook.run(120);
  cook.say(...hutBags());
  cook.run(1800);
  return cook;
}

function cool(cook: BenchCook): void {
  plant(cook).apply({ kind: 'mains', on: false });
  plant(cook).apply({ kind: 'lid', on: false });
}

describe('alarms of a cook', () => {
  it('rings when the bath falls below 57.2 C with food in (Food Code 2022, 3-501.16), and not a degree before', () => {
    const cook = withFood();
    cool(cook);
    let rangAt = Number.NaN;
    for (let s = 0; s < 4 * 3600 && Number.isNaN(rangAt); s++) {
      cook.run(1);
      if (stateOf(cook, 'bath-below-hot-limit') === 'unacknowledged') rangAt = cook.waterC();
    }
    expect(rangAt).toBeGreaterThan(56.2);
    expect(rangAt).toBeLessThan(57.3);
    const view = statusOf(cook.state()).alarms.find((a) => a.alarmId === 'bath-below-hot-limit');
    expect(view?.priority).toBe('high');
    expect(view?.detail).toMatch(/Saw 5\d\.\d °C; expected at least 57\.2 °C/);
  });

  it('keeps acknowledge, return and normal apart, after ISA-18.2 (transitions of figure "alarm state", from memory)', () => {
    const cook = withFood();
    cool(cook);
    cook.run(2 * 3600);
    expect(stateOf(cook, 'bath-below-hot-limit')).toBe('unacknowledged');
    expect(cook.say(say.acknowledge('bath-below-hot-limit')).results[0]?.accepted).toBe(true);
    expect(stateOf(cook, 'bath-below-hot-limit')).toBe('acknowledged');
    expect(cook.say(say.acknowledge('bath-below-hot-limit')).results[0]?.code).toBe('alarm-unknown');
    plant(cook).apply({ kind: 'mains', on: true });
    plant(cook).apply({ kind: 'lid', on: true });
    cook.run(3 * 3600);
    expect(stateOf(cook, 'bath-below-hot-limit')).toBe('normal');
  });

  it('keeps an alarm that has gone until somebody has seen it', () => {
    const cook = withFood();
    plant(cook).apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    cook.run(10);
    expect(stateOf(cook, 'probe-invalid')).toBe('unacknowledged');
    plant(cook).apply({ kind: 'probe', probe: 'bath', fault: 'none' });
    cook.run(30);
    expect(stateOf(cook, 'probe-invalid')).toBe('returned-unacknowledged');
    cook.say(say.acknowledge('probe-invalid'));
    expect(stateOf(cook, 'probe-invalid')).toBe('normal');
  });

  it('gives no heat without a fresh reading, from the first second on', () => {
    const cook = benchCook({ startC: 40 });
    cook.say(say.start(68));
    cook.run(60);
    expect(cook.run(1).lease).not.toBeNull();
    plant(cook).apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    // The conversion under way may still be read; the next is missing.
    cook.run(1);
    cook.run(120, (output) => expect(output.lease).toBeNull());
    expect(stateOf(cook, 'probe-invalid')).toBe('unacknowledged');
  });

  it('guards a confirmed low setpoint 1 C under it, and never under 54.4 C', () => {
    expect(statusOf(withFood(56.5).state()).hotLimitC).toBeCloseTo(55.5, 6);
    expect(statusOf(withFood(54.8).state()).hotLimitC).toBeCloseTo(54.44, 2);
    expect(statusOf(withFood(68).state()).hotLimitC).toBe(57.2);
  });

  it('refuses a setpoint below 57.2 C until the consequence is confirmed', () => {
    const cook = benchCook();
    expect(cook.say(say.start(56)).results[0]).toMatchObject({ accepted: false, code: 'setpoint-low' });
    expect(cook.state().cook).toBeNull();
    expect(cook.say(say.start(56, true)).results[0]?.accepted).toBe(true);
  });

  it('trips over the hard maximum, latches, and clears only by a person once the water is cooler', () => {
    const cook = benchCook({ startC: 66, config: { limits: { hardMaxC: 70 } } });
    cook.say(say.start(67));
    cook.run(30);
    plant(cook).apply({ kind: 'top-up', litres: 15, celsius: 99 });
    cook.run(60);
    expect(stateOf(cook, 'over-temperature')).toBe('unacknowledged');
    expect(cook.say(say.clear('over-temperature')).results[0]?.code).toBe('alarm-active');
    cook.say(say.acknowledge('over-temperature'));
    plant(cook).apply({ kind: 'top-up', litres: 15, celsius: 5 });
    cook.run(300, (output) => expect(output.lease).toBeNull());
    expect(cook.waterC()).toBeLessThan(66);
    expect(stateOf(cook, 'over-temperature')).toBe('latched');
    expect(cook.say(say.clear('over-temperature')).results[0]?.accepted).toBe(true);
    let heated = false;
    cook.run(300, (output) => {
      heated ||= output.lease !== null;
    });
    expect(heated).toBe(true);
  });

  it('reports a bath that stays away from its setpoint, but not one that is still heating up', () => {
    const cook = benchCook({ startC: 30 });
    cook.say(say.start(68));
    cook.run(1800);
    expect(stateOf(cook, 'bath-low')).toBe('suppressed-by-design');
    cook.run(2 * 3600);
    plant(cook).apply({ kind: 'element', works: false });
    plant(cook).apply({ kind: 'lid', on: false });
    cook.run(3600);
    expect(stateOf(cook, 'bath-low')).toBe('unacknowledged');
  });

  it('stops the heat for anybody at once and heats again only when asked', () => {
    const cook = benchCook({ startC: 50 });
    cook.say(say.start(68));
    cook.run(60);
    expect(cook.say(say.stop()).lease).toBeNull();
    cook.run(300, (output) => expect(output.lease).toBeNull());
    cook.say(say.allow());
    cook.run(120);
    expect(cook.run(1).lease).not.toBeNull();
  });
});

describe('food that nobody entered', () => {
  const putInUntold = (cook: BenchCook) => {
    for (const command of hutBags()) {
      if (command.kind === 'bag-in') {
        plant(cook).apply({
          kind: 'bag-in',
          bag: { ...command.bag, bagId: `untold-${command.bag.bagId}` },
          airMl: 0,
        });
      }
    }
  };

  it('is asked about, and counts as in from the dip on when nobody answers for 10 minutes', () => {
    const cook = benchCook({ startC: 74 });
    cook.say(say.start(74));
    cook.run(3600);
    const before = cook.state().clockS;
    putInUntold(cook);
    let asked = Number.NaN;
    for (let s = 0; s < 600 && Number.isNaN(asked); s++) {
      cook.run(1);
      if (statusOf(cook.state()).question) asked = s;
    }
    expect(asked).toBeLessThan(240);
    expect(stateOf(cook, 'load-unexplained')).toBe('unacknowledged');
    cook.run(601);
    const [bag] = cook.state().bags;
    expect(bag?.assumed).toBe(true);
    expect(Math.abs((bag?.inAtS ?? 0) - before)).toBeLessThan(120);
    expect(cook.state().cook?.stage).toBe('food-in');
  });

  it('is put in at once on a yes, and forgotten on a no', () => {
    for (const foodIn of [true, false]) {
      const cook = benchCook({ startC: 74 });
      cook.say(say.start(74));
      cook.run(3600);
      putInUntold(cook);
      cook.run(240);
      expect(cook.say(say.answer(foodIn)).results[0]?.accepted).toBe(true);
      cook.run(900);
      expect(cook.state().bags.length).toBe(foodIn ? 1 : 0);
    }
  });

  it('is not suspected in a quiet hold, nor when the heater dies, nor after a bag was entered', () => {
    const cook = benchCook({ startC: 70 });
    cook.say(say.start(74));
    cook.run(3 * 3600);
    expect(cook.state().load.dipAtS).toBeNull();
    cook.say(...hutBags());
    cook.run(3600);
    plant(cook).apply({ kind: 'element', works: false });
    cook.run(3600);
    expect(cook.state().bags.length).toBe(3);
    expect(cook.state().load.dipAtS).toBeNull();
  });
});

describe('low water', () => {
  it('by the level switch takes the heat away and rings, and heat comes back with the water', () => {
    const cook = benchCook({ startC: 60 });
    cook.say(say.start(68));
    cook.run(60);
    plant(cook).apply({ kind: 'leak', mlPerMin: 3000 });
    let dry = false;
    for (let s = 0; s < 1200 && !dry; s++) {
      const output = cook.run(1);
      dry = stateOf(cook, 'water-low') === 'unacknowledged';
      if (dry) expect(output.lease).toBeNull();
    }
    expect(dry).toBe(true);
    expect(plant(cook).truth().elementUncovered).toBe(false);
    plant(cook).apply({ kind: 'leak', mlPerMin: 0 });
    plant(cook).apply({ kind: 'top-up', litres: 14, celsius: 55 });
    cook.run(60);
    expect(cook.run(1).lease).not.toBeNull();
  });
});

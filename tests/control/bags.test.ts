import { describe, expect, it } from 'vitest';
import { leastLog10 } from '../../controller/tick/estimate/bag.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { benchCook, hutBags, say } from './cook.ts';

describe('bags', () => {
  it('that are entered late are carried through the logged water as if entered in time', () => {
    const inTime = benchCook({ startC: 68 });
    const late = benchCook({ startC: 68 });
    for (const cook of [inTime, late]) {
      cook.say(say.start(68));
      cook.run(1200);
    }
    inTime.say(say.bagIn('neck', 'pork-neck', 70, 1.4));
    inTime.run(1500);
    // The same food goes in, untold; the page hears of it 25 minutes later.
    late.rig.follow(say.bagIn('neck', 'pork-neck', 70, 1.4));
    late.run(1500);
    late.rig.plant?.apply({ kind: 'bag-out', bagId: 'neck' });
    late.say(say.bagIn('neck', 'pork-neck', 70, 1.4, 1500));
    const [a] = inTime.state().bags;
    const b = late.state().bags.find((bag) => !bag.assumed);
    expect(b!.estimate.core.middleC).toBeCloseTo(a!.estimate.core.middleC, 0);
    expect(b!.inAtMs).toBeCloseTo(a!.inAtMs, -4);
  });

  it('keep their whole past when they are described anew after hours', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(300);
    cook.say(say.bagIn('neck', 'pork-neck', 70, 1.4));
    cook.run(3 * 3600);
    const before = cook.state().bags[0]!.estimate.core;
    const lethalityBefore = leastLog10(cook.state().bags[0]!.estimate);
    const again = say.bagIn('neck', 'pork-neck', 70, 1.4);
    if (again.kind !== 'bag-in') throw new Error('not a bag');
    cook.say({
      kind: 'edit-bag',
      id: 'e1',
      by: 'Hut phone',
      bag: { ...again.bag, label: 'Neck of the pig' },
    });
    const after = cook.state().bags[0]!.estimate.core;
    expect(after.middleC).toBeCloseTo(before.middleC, 1);
    const ratio = leastLog10(cook.state().bags[0]!.estimate) / lethalityBefore;
    expect(ratio).toBeGreaterThan(0.97);
    expect(ratio).toBeLessThan(1.03);
  });

  it('are refused clearly: twice the same, unknown cut, a ninth, or with no cook', () => {
    const cook = benchCook({ startC: 68 });
    expect(cook.say(say.bagIn('x', 'pork-neck', 50, 1)).results[0]?.code).toBe('no-cook');
    cook.say(say.start(68));
    cook.say(say.bagIn('x', 'pork-neck', 50, 1));
    expect(cook.say(say.bagIn('x', 'pork-neck', 50, 1)).results[0]?.code).toBe('bag-exists');
    expect(cook.say(say.bagIn('y', 'no-such-cut', 50, 1)).results[0]?.code).toBe('cut-unknown');
    for (let i = 0; i < 7; i++) cook.say(say.bagIn(`b${i}`, 'pork-neck', 50, 0.3));
    expect(cook.say(say.bagIn('ninth', 'pork-neck', 50, 1)).results[0]?.code).toBe('too-many-bags');
    expect(cook.say(say.bagOut('nobody')).results[0]?.code).toBe('bag-unknown');
    expect(cook.say(say.end()).results[0]?.code).toBe('bags-in');
  });

  it('live through heating, ready for food, food in, holding and taken out, and the heat stops with the last', () => {
    const cook = benchCook({ startC: 60 });
    const stages: string[] = [];
    const note = () => {
      const stage = cook.state().cook?.stage ?? 'none';
      if (stages.at(-1) !== stage) stages.push(stage);
    };
    cook.say(say.start(70));
    cook.run(2400, note);
    cook.say(...hutBags());
    cook.run(6 * 3600, note);
    for (const bag of ['lamb-1', 'lamb-2', 'neck']) cook.say(say.bagOut(bag));
    cook.run(60, note);
    expect(stages).toEqual(['heating', 'ready-for-food', 'food-in', 'holding', 'taken-out']);
    cook.run(600, (output) => expect(output.lease).toBeNull());
    expect(cook.say(say.end()).results[0]?.accepted).toBe(true);
    expect(cook.say(say.start(70)).results[0]?.accepted).toBe(true);
  });

  it('get no lethality for water that was not measured', () => {
    const cook = benchCook({ startC: 70 });
    cook.say(say.start(70));
    cook.run(300);
    cook.say(say.bagIn('neck', 'pork-neck', 50, 1.4));
    cook.run(3 * 3600);
    const before = leastLog10(cook.state().bags[0]!.estimate);
    cook.rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    cook.run(600);
    cook.rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'none' });
    cook.run(1);
    expect(leastLog10(cook.state().bags[0]!.estimate)).toBeCloseTo(before, 1);
  });
});

describe('a limit that was broken', () => {
  it('is alarmed while the bag is in, stays broken under later heat, and counts from when the bag went in', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(3600);
    cook.say(say.bagIn('neck', 'pork-neck', 70, 1.4));
    cook.rig.plant.apply({ kind: 'mains', on: false });
    cook.rig.plant.apply({ kind: 'lid', on: false });
    cook.run(9 * 3600);
    const found = () => cook.state().alarms.find((a) => a.alarmId === 'food-limit-broken');
    expect(found()?.state).toBe('unacknowledged');
    cook.rig.plant.apply({ kind: 'mains', on: true });
    cook.rig.plant.apply({ kind: 'lid', on: true });
    cook.say(say.acknowledge('food-limit-broken'));
    cook.run(4 * 3600);
    expect(found()?.state).toBe('acknowledged');
    const [bag] = statusOf(cook.state()).bags;
    const broken = bag?.verdicts.filter((verdict) => verdict.status === 'broken') ?? [];
    expect(broken.length).toBeGreaterThan(0);
    expect(broken[0]?.words).toMatch(/passed at \d h \d\d min/);
    const hours = Number(/passed at (\d+) h/.exec(broken[0]?.words ?? '')?.[1]);
    expect(hours).toBeLessThan(9);
    cook.say(say.bagOut('neck'));
    cook.run(5);
    expect(found()?.state).toBe('normal');
  });
});

import { describe, expect, it } from 'vitest';
import { breachesOf, leastLog10 } from '../../controller/tick/estimate/bag.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { tick } from '../../controller/tick/tick.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { type BenchCook, benchCook, say } from './cook.ts';

const bagOf = (cook: BenchCook, id = 'neck') => cook.state().bags.find((bag) => bag.spec.bagId === id)!;
/** The water is mixed and measured for two minutes before anything is reckoned. */
const MIXED_S = 125;
const probe = (cook: BenchCook, fault: 'absent' | 'none') =>
  cook.rig.plant.apply({ kind: 'probe', probe: 'bath', fault });

function withNeck(setpointC = 70): BenchCook {
  const cook = benchCook({ startC: setpointC, keepInputs: true });
  cook.say(say.start(setpointC));
  cook.run(300);
  cook.say(say.bagIn('neck', 'pork-neck', 70, 1.4));
  return cook;
}

/** The next input of a cook as another run of the controller would form it. */
function afterRestart(
  cook: BenchCook,
  awayMs: number | null,
  celsius: number | null,
  atMs = 1000,
): TickInput {
  const last = cook.inputs.at(-1)!;
  const bath = { celsius, quality: celsius === null ? ('absent' as const) : ('good' as const), sequence: 1 };
  return {
    ...last,
    sequence: last.sequence + 1,
    monotonicMs: atMs,
    wallMs: last.wallMs + (awayMs ?? 5000),
    commands: [],
    restart: { awayMs },
    readings: { ...last.readings, bath: { ...bath, monotonicMs: atMs } },
  };
}

const runOn = (state: TickState, first: TickInput, seconds: number): TickState => {
  let now = tick(state, first).state;
  for (let s = 1; s <= seconds; s++) {
    const at = first.monotonicMs + s * 1000;
    const { bath } = first.readings;
    const moved = bath.quality === 'good' ? { ...bath, monotonicMs: at, sequence: s } : bath;
    now = tick(now, {
      ...first,
      sequence: first.sequence + s,
      monotonicMs: at,
      wallMs: first.wallMs + s * 1000,
      restart: null,
      readings: { ...first.readings, bath: moved },
    }).state;
  }
  return now;
};

describe('water that nobody saw', () => {
  it('is no cooking for a bag that went in while the probe was lost', () => {
    const cook = benchCook({ startC: 74 });
    cook.say(say.start(74));
    cook.run(600);
    probe(cook, 'absent');
    cook.run(2 * 3600);
    cook.say(say.bagIn('late', 'pork-neck', 25, 0.4));
    cook.run(5);
    probe(cook, 'none');
    cook.run(5);
    const { estimate } = bagOf(cook, 'late');
    expect(estimate.core.highC).toBeLessThan(20);
    expect(leastLog10(estimate)).toBe(0);
    expect(breachesOf(estimate)).toEqual([]);
  });

  it('rings for a broken limit within the outage, and counts before a bag is taken out', () => {
    const cook = withNeck();
    cook.run(600);
    probe(cook, 'absent');
    cook.run(9 * 3600);
    const alarm = cook.state().alarms.find((a) => a.alarmId === 'food-limit-broken');
    expect(alarm?.state).toBe('unacknowledged');
    cook.say(say.bagOut('neck'));
    expect(breachesOf(bagOf(cook).estimate).length).toBeGreaterThan(0);
  });

  it('counts as long as the fall of the water allows where the clock cannot tell the time away', () => {
    const cook = withNeck();
    cook.run(4 * 3600);
    expect(breachesOf(bagOf(cook).estimate)).toEqual([]);
    const cooled = runOn(cook.state(), afterRestart(cook, null, 25), MIXED_S);
    expect(breachesOf(cooled.bags[0]!.estimate).length).toBeGreaterThan(0);
    // Back within seconds: the water has not fallen, so little time can have gone by.
    const quick = runOn(cook.state(), afterRestart(cook, null, 70), MIXED_S);
    expect(breachesOf(quick.bags[0]!.estimate)).toEqual([]);
    expect(quick.clockS - cook.state().clockS).toBeLessThan(3600);
  });

  it('before a restart is no past for a bag that is entered late', () => {
    const cook = benchCook({ startC: 74, keepInputs: true });
    cook.say(say.start(74));
    cook.run(2 * 3600);
    cook.say(say.end());
    const cold = runOn(cook.state(), afterRestart(cook, 10 * 3600 * 1000, 15), 60);
    const last = { ...afterRestart(cook, null, 15, 62_000), restart: null };
    const input = {
      ...last,
      sequence: cold.sequence + 1,
      wallMs: cold.wallMs + 1000,
      commands: [say.start(74), say.bagIn('neck', 'pork-neck', 30, 1.4, 3600)],
    };
    const after = tick(cold, input);
    expect(after.output.results.every((result) => result.accepted)).toBe(true);
    expect(after.state.bags[0]!.estimate.core.middleC).toBeLessThan(20);
    expect(leastLog10(after.state.bags[0]!.estimate)).toBe(0);
    expect(after.state.wallMs - after.state.bags[0]!.inAtMs).toBeCloseTo(3_600_000, -3);
  });
});

describe('a restart', () => {
  it('does not hide a probe that is dead since: it is alarmed within seconds, and its age is not negative', () => {
    const cook = withNeck();
    cook.run(3600);
    const state = runOn(cook.state(), afterRestart(cook, 60_000, null), 10);
    expect(state.alarms.find((a) => a.alarmId === 'probe-invalid')?.state).toBe('unacknowledged');
    expect(statusOf(state).bath.ageMs).toBeGreaterThanOrEqual(60_000);
  });
});

describe('a bag described anew', () => {
  const rename = (cook: BenchCook, more: object) => {
    const command = say.bagIn('neck', 'pork-neck', 70, 1.4);
    if (command.kind !== 'bag-in') throw new Error('not a bag');
    return cook.say({ ...command, kind: 'edit-bag', id: 'e', bag: { ...command.bag, ...more } } as never);
  };

  it('gains nothing by another name, nor for hours it lay afloat', () => {
    const cook = withNeck();
    cook.say({ kind: 'bag-lies', id: 'l1', by: 'Hut phone', bagId: 'neck', lies: 'afloat' });
    cook.run(6 * 3600);
    cook.say({ kind: 'bag-lies', id: 'l2', by: 'Hut phone', bagId: 'neck', lies: 'under' });
    expect(leastLog10(bagOf(cook).estimate)).toBeLessThan(0.01);
    rename(cook, { label: 'Neck' });
    expect(leastLog10(bagOf(cook).estimate)).toBeLessThan(0.01);
    rename(cook, { thicknessMm: 60 });
    expect(leastLog10(bagOf(cook).estimate)).toBeLessThan(0.01);
  });

  it('keeps a limit that was broken, and says so in the record', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(300);
    cook.say(say.bagIn('neck', 'pork-neck', 190, 6));
    cook.run(12 * 3600);
    expect(breachesOf(bagOf(cook).estimate).length).toBeGreaterThan(0);
    const output = rename(cook, { thicknessMm: 20 });
    expect(breachesOf(bagOf(cook).estimate).length).toBeGreaterThan(0);
    const edited = output.events.find((event) => event.kind === 'bag-edited');
    expect(edited?.data.broken).toEqual(expect.arrayContaining([expect.any(String)]));
  });
});

describe('alarms that must not be lost', () => {
  it('ring anew when a second bag breaks its limit after the first was acknowledged', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(300);
    cook.say(say.bagIn('thick', 'pork-neck', 190, 6));
    const alarm = () => cook.state().alarms.find((a) => a.alarmId === 'food-limit-broken')?.state;
    for (let h = 0; h < 12 && alarm() !== 'unacknowledged'; h++) cook.run(3600);
    cook.say(say.acknowledge('food-limit-broken'));
    expect(alarm()).toBe('acknowledged');
    cook.say(say.bagIn('second', 'pork-neck', 190, 6));
    let rang = false;
    for (let m = 0; m < 14 * 60 && !rang; m++) {
      cook.run(60);
      rang = alarm() === 'unacknowledged';
    }
    expect(rang).toBe(true);
  });

  it('keep their delay through a lost reply now and then', () => {
    const cook = benchCook({ startC: 70 });
    cook.say(say.start(70));
    cook.run(600);
    cook.rig.plant.apply({ kind: 'element', works: false });
    cook.rig.plant.apply({ kind: 'lid', on: false });
    let rang = false;
    for (let i = 0; i < 20 && !rang; i++) {
      cook.run(298);
      probe(cook, 'absent');
      cook.run(2);
      probe(cook, 'none');
      rang = cook.state().alarms.some((a) => a.alarmId === 'bath-low' && a.state === 'unacknowledged');
    }
    expect(rang).toBe(true);
  });
});

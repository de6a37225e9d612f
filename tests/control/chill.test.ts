import { describe, expect, it } from 'vitest';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { tick } from '../../controller/tick/tick.ts';
import type { Command } from '../../shared/wire/command.ts';
import { commandSchema } from '../../shared/wire/command.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { type BenchCook, benchCook, say } from './cook.ts';

let ids = 0;
const command = (more: Record<string, unknown>): Command =>
  commandSchema.parse({ id: `chill-${ids++}`, by: 'Hut phone', bagId: 'neck', ...more });
const chill = (chilling = 'ice-water') => command({ kind: 'bag-out', destination: 'chill', chilling });
const read = (celsius: number, agoS = 0, errorC = 0.5) =>
  command({ kind: 'core-reading', celsius, agoS, errorC });
const end = (more: Record<string, unknown> = {}) =>
  command({ kind: 'end-chill', outcome: 'fridge', ...more });

/** A pork neck cooked for hours, in the bath still. */
function cooked(profile: 'conservative' | 'us-food-code' | 'usda-fsis', keepInputs = false): BenchCook {
  const cook = benchCook({ startC: 68, config: { profile }, keepInputs });
  cook.say(say.start(68));
  cook.run(60);
  cook.say(say.bagIn('neck', 'pork-neck', 35, 0.6));
  cook.run(2 * 3600);
  return cook;
}

const bagOf = (cook: BenchCook) => statusOf(cook.state()).bags[0]!;
const cooling = (cook: BenchCook) => bagOf(cook).verdicts.filter(({ words }) => words.startsWith('Cooling'));
const broken = (cook: BenchCook) => bagOf(cook).verdicts.filter(({ status }) => status === 'broken');
const minutes = (cook: BenchCook, count: number) => cook.run(count * 60);

describe('a bag taken out to chill', () => {
  it('is kept under Food Code 3-501.14(A) by readings: 135 to 70 F within 2 h, to 41 F within 6 h in all', () => {
    const cook = cooked('us-food-code');
    cook.say(chill());
    expect(bagOf(cook).chill).toMatchObject({ method: 'ice-water', endedAtMs: null, readings: [] });
    expect(bagOf(cook).chill!.next!.celsius).toBeCloseTo((70 - 32) / 1.8, 6);
    minutes(cook, 20);
    cook.say(read(58.5));
    minutes(cook, 100);
    cook.say(read(20.4));
    // Counted from 58.5 C, the last reading above 57.2 C: 100 min of 120.
    expect(cooling(cook)[0]).toMatchObject({ status: 'not-yet', rule: 'Food Code 3-501.14(A)' });
    expect(cooling(cook)[0]!.source).toContain('3-501.14');
    minutes(cook, 200);
    cook.say(read(4.2));
    expect(cooling(cook)[0]!.status).toBe('kept');
    expect(broken(cook)).toEqual([]);
  });

  it('breaks Food Code 3-501.14(A) for good where the core is read above 70 F after 2 h, rings, and cold later heals nothing', () => {
    const cook = cooked('us-food-code');
    cook.say(chill('cold-water'));
    minutes(cook, 1);
    cook.say(read(60));
    minutes(cook, 119);
    cook.say(read(30));
    expect(broken(cook)).toEqual([]);
    minutes(cook, 2);
    const told = cook.say(read(29)).events.map(({ kind }) => kind);
    expect(told).toEqual(['core-reading', 'limit-broken']);
    expect(broken(cook)[0]!.words).toContain('21.1 C took more than 2 h');
    expect(broken(cook)[0]!.asks).toContain('person in charge');
    cook.run(2);
    const alarm = () => cook.state().alarms.find(({ alarmId }) => alarmId === 'food-limit-broken')!.state;
    expect(alarm()).toBe('unacknowledged');
    minutes(cook, 30);
    cook.say(read(3));
    expect(broken(cook).length).toBe(1);
    cook.say(end({ outcome: 'discarded' }));
    cook.run(5);
    expect(alarm()).not.toBe('unacknowledged');
    expect(broken(cook).length).toBe(1);
  });

  it('takes a foot back where a later reading is surely above it: the colder one was not of the core', () => {
    const cook = cooked('us-food-code');
    cook.say(chill());
    minutes(cook, 60);
    cook.say(read(18));
    minutes(cook, 60);
    cook.say(read(4));
    expect(cooling(cook)[0]!.status).toBe('kept');
    minutes(cook, 5);
    // Within its error it may be at 5 C: nothing is taken back.
    cook.say(read(5.3));
    expect(cooling(cook)[0]!.status).toBe('kept');
    minutes(cook, 5);
    cook.say(read(15));
    expect(cooling(cook)[0]!.status).toBe('not-yet');
    expect(bagOf(cook).chill!.next!.celsius).toBeCloseTo(5, 6);
    expect(bagOf(cook).chill!.storage.words).toContain('cooling is not finished');
    minutes(cook, 5);
    cook.say(read(24));
    cook.run(2);
    // 135 min after it came out, 24 C: the first leg was not kept.
    expect(broken(cook)[0]!.words).toContain('21.1 C took more than 2 h');
  });

  it('rings for the next reading a quarter of an hour before its time, and no longer once it shows the core there', () => {
    const cook = cooked('us-food-code');
    const alarm = () => cook.state().alarms.find(({ alarmId }) => alarmId === 'cooling-reading-due')!;
    cook.say(chill());
    minutes(cook, 104);
    expect(alarm().state).toBe('normal');
    minutes(cook, 2);
    expect(alarm().state).toBe('unacknowledged');
    expect(alarm().detail).toMatch(/neck: expected a core of 21\.1 °C or colder.*left\./);
    minutes(cook, 20);
    expect(alarm().detail).toContain('only a reading that was taken in time');
    cook.say(read(19, 15 * 60));
    cook.run(2);
    expect(alarm().active).toBe(false);
    minutes(cook, 220);
    expect(alarm()).toMatchObject({ active: true });
    cook.say(read(4.2));
    cook.run(2);
    expect(alarm().active).toBe(false);
  });

  it('counts a leg without a reading as overdue for an hour, in which a reading taken in time repairs it, and then as broken', () => {
    for (const [late, expected] of [
      [true, 0],
      [false, 1],
    ] as const) {
      const cook = cooked('us-food-code');
      cook.say(chill());
      minutes(cook, 140);
      expect(broken(cook)).toEqual([]);
      expect(cooling(cook)[0]!.words).toContain('without a reading');
      // Read 50 minutes ago, that is 90 after it came out.
      if (late) cook.say(read(19, 50 * 60));
      minutes(cook, 60);
      expect(broken(cook).length).toBe(expected);
    }
  });

  it('needs one option of FSIS Appendix B under that profile: late for option 1 it may keep option 2, and breaks only when both are', () => {
    const cook = cooked('usda-fsis');
    cook.say(chill());
    minutes(cook, 45);
    // 130 to 80 F may have taken more than 1.5 h, yet 120 to 80 F less than 1 h: above 48.9 C at 45 min, under 26.7 at 95.
    cook.say(read(50));
    minutes(cook, 48);
    cook.say(read(28));
    minutes(cook, 2);
    cook.say(read(25));
    minutes(cook, 3);
    expect(broken(cook)).toEqual([]);
    minutes(cook, 290);
    cook.say(read(12));
    expect(broken(cook)).toEqual([]);
    const [first, second] = cooling(cook);
    expect(first).toMatchObject({ status: 'unknown', asks: null });
    expect(first!.rule).toContain('option 1');
    expect(first!.words).toContain('another option is enough');
    expect(second).toMatchObject({ status: 'kept' });
    expect(second!.rule).toContain('option 2');
    expect(second!.cautions.join()).toContain('within 90 min');
  });

  it('keeps every rule of the conservative profile: Food Code and FSIS option 1 both', () => {
    const cook = cooked('conservative');
    cook.say(chill());
    minutes(cook, 10);
    cook.say(read(60));
    minutes(cook, 95);
    // In time for 3-501.14 (2 h), too late for option 1 (54.4 to 26.7 C in 1.5 h).
    cook.say(read(28));
    cook.run(1);
    expect(
      broken(cook)
        .map(({ source }) => source)
        .join(),
    ).toContain('Appendix B');
  });
});

describe('storage after chilling (Food Code 3-502.12)', () => {
  const chilled = (profile: 'conservative' | 'us-food-code', errorC = 0.3) => {
    const cook = cooked(profile);
    cook.say(chill());
    minutes(cook, 5);
    cook.say(read(60, 0, errorC));
    minutes(cook, 70);
    cook.say(read(15, 0, errorC));
    minutes(cook, 120);
    cook.say(read(3.5, 0, errorC));
    return cook;
  };
  const storage = (cook: BenchCook) => bagOf(cook).chill!.storage;

  it('gives no time without a cooling record, before it is finished, and without a fridge temperature', () => {
    const served = cooked('us-food-code');
    served.say(say.bagOut('neck'));
    expect(bagOf(served).chill).toBeNull();
    const running = cooked('us-food-code');
    running.say(chill());
    expect(storage(running)).toMatchObject({ untilMs: null });
    expect(storage(running).words).toContain('cooling is not finished');
    const done = chilled('us-food-code');
    expect(storage(done).untilMs).toBeNull();
    expect(storage(done).words).toContain('no fridge temperature');
    done.say(end({ fridgeC: null }));
    expect(storage(done).untilMs).toBeNull();
  });

  it('counts from when the bag was sealed, at the latest when it went in: 48 h without a plan, 7 days with plan and record, 5 under the conservative profile', () => {
    const days = (cook: BenchCook) => (storage(cook).untilMs! - bagOf(cook).inAtMs) / 86_400_000;
    const plain = chilled('us-food-code');
    plain.say(end({ fridgeC: 3 }));
    expect(days(plain)).toBeCloseTo(2, 9);
    const planned = chilled('us-food-code');
    planned.say(end({ fridgeC: 3, writtenPlan: true, fridgeRecorded: true }));
    expect(days(planned)).toBeCloseTo(7, 9);
    const careful = chilled('conservative');
    careful.say(end({ fridgeC: 3, writtenPlan: true, fridgeRecorded: true }));
    expect(days(careful)).toBeCloseTo(5, 9);
    expect(storage(careful).conditions.join()).toContain('label');
  });

  it('gives none in too warm a fridge, with raw garlic or herbs in oil, or for food whose standard was not met', () => {
    const warm = chilled('us-food-code');
    warm.say(end({ fridgeC: 7 }));
    expect(storage(warm).words).toContain('the fridge has been at 7.0 C');
    const garlic = chilled('us-food-code');
    garlic.say(end({ fridgeC: 3, rawGarlicOrHerbsInOil: true }));
    expect(storage(garlic).words).toContain('garlic');
    const raw = benchCook({ startC: 68, config: { profile: 'us-food-code' } });
    raw.say(say.start(68));
    raw.run(60);
    raw.say(say.bagIn('neck', 'pork-neck', 70, 1.4));
    raw.run(900);
    raw.say(chill());
    raw.say(end({ fridgeC: 3 }));
    expect(storage(raw).untilMs).toBeNull();
    expect(storage(raw).words).toContain('standard was not met');
  });

  it('goes into the record of the bag: method, readings, what became of it, and whether the rule was kept', () => {
    const cook = chilled('us-food-code');
    const row = cook.say(end({ fridgeC: 3 })).bags[0]!;
    expect(row.chill).toMatchObject({
      method: 'ice-water',
      outcome: 'fridge',
      fridgeC: 3,
      coolingKept: true,
    });
    expect(row.chill!.readings.map(({ celsius }) => celsius)).toEqual([60, 15, 3.5]);
    expect(row.chill!.storeUntilMs).toBe(row.inAtMs + 2 * 86_400_000);
  });
});

describe('the commands of chilling', () => {
  const codes = (cook: BenchCook, ...commands: Command[]) =>
    cook.say(...commands).results.map(({ code }) => code);

  it('are refused where there is nothing to read or end, and a new cook does not lose an open record', () => {
    const cook = cooked('us-food-code');
    expect(codes(cook, end())).toEqual(['not-chilling']);
    cook.say(chill());
    cook.run(30);
    expect(codes(cook, read(60, 600))).toEqual(['reading-too-old']);
    cook.say(say.end());
    // The cook has ended; the record of the cooling has not.
    expect(codes(cook, read(61))).toEqual([null]);
    expect(codes(cook, say.start(68))).toEqual(['chill-open']);
    expect(codes(cook, end({ outcome: 'served' }), say.start(68))).toEqual([null, null]);
  });

  it('replay: the same inputs give the same bytes', () => {
    const cook = cooked('us-food-code', true);
    cook.say(read(66));
    cook.say(chill());
    minutes(cook, 30);
    cook.say(read(40));
    cook.say(end({ outcome: 'frozen' }));
    const checked = checkConfig({ profile: 'us-food-code' });
    if (!checked.ok) throw new Error('config');
    let state = startState(settingsFrom(checked.config, 'bench'));
    for (const input of cook.inputs) {
      // Through a snapshot wherever somebody said something.
      if (input.commands.length > 0) state = JSON.parse(JSON.stringify(state));
      state = tick(state, input).state;
    }
    expect(JSON.stringify(state)).toBe(JSON.stringify(cook.state()));
  });
});

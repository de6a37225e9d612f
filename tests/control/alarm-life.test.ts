import { describe, expect, it } from 'vitest';
import { soundFor } from '../../controller/sound.ts';
import { putAside, renew, restingAlarm } from '../../controller/tick/alarm/machine.ts';
import { ALARM_IDS, ALARMS } from '../../controller/tick/alarm/table.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { tick } from '../../controller/tick/tick.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import { type Command, type CommandInput, commandSchema } from '../../shared/wire/command.ts';
import { type BenchCook, benchCook, hutBags, say } from './cook.ts';

type Without<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;
let ids = 0;
const give = (order: Without<CommandInput, 'id' | 'by'>, id = `life-${++ids}`): Command =>
  commandSchema.parse({ ...order, id, by: 'Hut phone' });
const stateOf = (cook: BenchCook, id: AlarmId) => cook.state().alarms.find((a) => a.alarmId === id)?.state;
const viewOf = (cook: BenchCook, id: AlarmId) => statusOf(cook.state()).alarms.find((a) => a.alarmId === id);
const reason = 'lid is off while the bags go round';

const shelve = (alarmId: AlarmId, minutes: number, more: object = {}) =>
  give({ kind: 'shelve', alarmId, minutes, reason, confirmed: true, ...more });

/** A hold whose element has died with the lid off: the bath falls slowly under its setpoint. */
function cooling(): BenchCook {
  const cook = benchCook({ startC: 68 });
  cook.say(say.start(68));
  cook.run(1800);
  cook.rig.plant?.apply({ kind: 'element', works: false });
  cook.rig.plant?.apply({ kind: 'lid', on: false });
  for (let s = 0; s < 7200 && stateOf(cook, 'bath-low') !== 'unacknowledged'; s++) cook.run(1);
  return cook;
}

// States and transitions after ISA-18.2-2016 (figure of the alarm state transitions), from memory.
describe('an alarm that is shelved', () => {
  it('goes on being computed, is heard by nobody, and rings again when its time is over', () => {
    const cook = cooling();
    expect(cook.say(shelve('bath-low', 20)).results[0]?.accepted).toBe(true);
    cook.run(60);
    expect(viewOf(cook, 'bath-low')).toMatchObject({ state: 'shelved', active: true, rings: false });
    expect(viewOf(cook, 'bath-low')?.aside).toMatchObject({ by: 'Hut phone', reason });
    const saidAt = viewOf(cook, 'bath-low')?.detail;
    cook.run(900);
    expect(viewOf(cook, 'bath-low')?.detail).not.toBe(saidAt);
    expect(stateOf(cook, 'bath-low')).toBe('shelved');
    cook.run(240);
    expect(stateOf(cook, 'bath-low')).toBe('unacknowledged');
  });

  it('once, comes back by itself as soon as its condition has gone, and rings the next time', () => {
    const cook = cooling();
    expect(cook.say(shelve('bath-low', 60, { untilCleared: true })).results[0]?.accepted).toBe(true);
    cook.rig.plant?.apply({ kind: 'top-up', litres: 8, celsius: 90 });
    for (let s = 0; s < 1800 && stateOf(cook, 'bath-low') !== 'normal'; s++) cook.run(1);
    expect(stateOf(cook, 'bath-low')).toBe('normal');
    for (let s = 0; s < 10_000 && stateOf(cook, 'bath-low') !== 'unacknowledged'; s++) cook.run(1);
    expect(stateOf(cook, 'bath-low')).toBe('unacknowledged');
  });

  it('is brought back by anybody, and rings at once where its condition stands', () => {
    const cook = cooling();
    cook.say(shelve('bath-low', 60));
    expect(cook.say(give({ kind: 'unshelve', alarmId: 'bath-low' })).results[0]?.accepted).toBe(true);
    expect(stateOf(cook, 'bath-low')).toBe('unacknowledged');
    expect(cook.say(give({ kind: 'unshelve', alarmId: 'bath-low' })).results[0]?.code).toBe(
      'alarm-not-aside',
    );
  });

  it('holds back no heat less: what forbids heat forbids it shelved too', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(600);
    cook.say(shelve('bath-high', 30));
    cook.rig.plant?.apply({ kind: 'top-up', litres: 6, celsius: 95 });
    cook.run(20);
    let seen = 0;
    cook.run(120, (output) => {
      if (!cook.state().alarms.some((a) => a.alarmId === 'bath-high' && a.active)) return;
      seen++;
      expect(output.lease).toBeNull();
    });
    expect(seen).toBeGreaterThan(10);
    expect(stateOf(cook, 'bath-high')).toBe('shelved');
  });

  it('needs a reason and a confirmation, and no more time than the table gives', () => {
    const cook = cooling();
    const unconfirmed = cook.say(shelve('bath-low', 20, { confirmed: false })).results[0];
    expect(unconfirmed).toMatchObject({
      code: 'consequence-unconfirmed',
      detail: ALARMS['bath-low'].consequence,
    });
    const most = ALARMS['bath-low'].shelveMostMin;
    expect(cook.say(shelve('bath-low', most + 1)).results[0]?.code).toBe('alarm-not-shelvable');
    expect(commandSchema.safeParse({ ...shelve('bath-low', 5), reason: ' ' }).success).toBe(false);
    expect(stateOf(cook, 'bath-low')).toBe('unacknowledged');
  });

  it('is never one that trips the heat nor one of high priority: by shelving, or out of service', () => {
    const cook = cooling();
    for (const alarmId of ALARM_IDS) {
      const { trips, priority } = ALARMS[alarmId];
      if (!trips && priority !== 'high') continue;
      expect(cook.say(shelve(alarmId, 1)).results[0]?.code, alarmId).toBe('alarm-not-shelvable');
      const out = give({ kind: 'out-of-service', alarmId, reason, confirmed: true });
      expect(cook.say(out).results[0]?.code, alarmId).toBe('alarm-not-shelvable');
    }
  });

  it('stays so over a cook no longer: a new cook begins with it unshelved', () => {
    const cook = benchCook({ startC: 50 });
    cook.say(say.start(68));
    expect(cook.say(shelve('bath-low', 60)).results[0]?.accepted).toBe(true);
    cook.say(say.end());
    const begun = cook.say({ ...say.start(68), cookId: 'hut-breakfast' } as Command);
    expect(begun.results[0]).toMatchObject({ accepted: true });
    expect(stateOf(cook, 'bath-low')).toBe('suppressed-by-design');
  });
});

describe('a shelf', () => {
  const record = { ...restingAlarm('bath-low'), active: true, heldS: 900, state: 'unacknowledged' as const };
  const aside = { by: 'Hut phone', reason, sinceMs: 0, untilS: 1e6, once: false };

  it('ends when the condition grows worse', () => {
    const shelved = putAside(record, 'shelved', aside);
    expect(renew(shelved, 5)).toMatchObject({ state: 'unacknowledged', aside: null, sinceMs: 5 });
    // What is out of service is known to be broken: it stays out.
    expect(renew(putAside(record, 'out-of-service', aside), 5).state).toBe('out-of-service');
  });

  it('ends with a restart after which nobody knows how much time has gone by, and lasts where that is known', () => {
    for (const awayMs of [null, 60_000]) {
      const cook = benchCook({ startC: 50, keepInputs: true });
      cook.say(say.start(68));
      cook.say(shelve('bath-low', 60));
      const last = cook.inputs.at(-1)!;
      const input = {
        ...last,
        sequence: last.sequence + 1,
        monotonicMs: 1000,
        commands: [],
        restart: { awayMs },
      };
      const { state } = tick(cook.state(), input);
      const now = state.alarms.find((one) => one.alarmId === 'bath-low')?.state;
      expect(now).toBe(awayMs === null ? 'suppressed-by-design' : 'shelved');
    }
  });
});

describe('an alarm out of service', () => {
  it('keeps silent with a name and a reason until somebody puts it back, and a new cook says so', () => {
    const cook = benchCook({ startC: 50 });
    const out = give({
      kind: 'out-of-service',
      alarmId: 'rig-drift',
      reason: 'element was descaled',
      confirmed: true,
    });
    const output = cook.say(out);
    expect(output.alarms[0]).toMatchObject({
      to: 'out-of-service',
      by: 'Hut phone',
      detail: 'element was descaled',
    });
    cook.run(14_400);
    expect(viewOf(cook, 'rig-drift')?.aside).toMatchObject({ by: 'Hut phone', untilMs: null });
    const begun = cook.say(say.start(68));
    expect(begun.events.find((event) => event.kind === 'alarms-out-of-service')?.text).toMatch(
      /Rig has changed/,
    );
    expect(cook.say(give({ kind: 'in-service', alarmId: 'rig-drift' })).results[0]?.accepted).toBe(true);
    expect(stateOf(cook, 'rig-drift')).toBe('normal');
  });
});

describe('an alarm suppressed by design', () => {
  it('is shown as such while an empty bath heats up, rings for nobody, and is normal once the bath is there', () => {
    const cook = benchCook({ startC: 20 });
    cook.say(say.start(68));
    cook.run(600);
    for (const id of ['bath-low', 'bath-below-hot-limit'] as const) {
      expect(viewOf(cook, id), id).toMatchObject({ state: 'suppressed-by-design', rings: false });
      expect(viewOf(cook, id)?.aside?.reason, id).toMatch(/\w/);
    }
    expect(soundFor(cook.state().alarms)).toBe(0);
    cook.run(3 * 3600);
    expect(stateOf(cook, 'bath-low')).toBe('normal');
    expect(stateOf(cook, 'bath-below-hot-limit')).toBe('normal');
  });

  it('is suppressed no longer from the moment food is in a bath too cold for it', () => {
    const cook = benchCook({ startC: 40 });
    cook.say(say.start(68));
    cook.run(60);
    cook.say(...hutBags());
    cook.run(ALARMS['bath-below-hot-limit'].onDelayS + 5);
    expect(stateOf(cook, 'bath-below-hot-limit')).toBe('unacknowledged');
  });

  it('swallows no alarm that nobody has seen', () => {
    const cook = cooling();
    cook.say(say.setpoint(75));
    cook.run(120);
    expect(stateOf(cook, 'bath-low')).toBe('returned-unacknowledged');
  });
});

describe('one cause', () => {
  it('rings once: a lesser consequence of what somebody has acknowledged is shown with its cause and not heard', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(1800);
    cook.rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    cook.run(30);
    cook.say(say.acknowledge('probe-invalid'));
    const alarms = cook
      .state()
      .alarms.map((a) =>
        a.alarmId === 'bath-low' ? { ...a, state: 'unacknowledged' as const, active: true } : a,
      );
    expect(soundFor(alarms)).toBe(0);
    const view = statusOf({ ...cook.state(), alarms }).alarms.find((a) => a.alarmId === 'bath-low');
    expect(view).toMatchObject({ rings: false, becauseOf: 'probe-invalid', state: 'unacknowledged' });
  });

  it('rings anew where its consequence is of the same priority: food in the danger zone is no detail', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(1800);
    cook.rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    cook.run(30);
    cook.say(say.acknowledge('probe-invalid'));
    const alarms = cook
      .state()
      .alarms.map((a) =>
        a.alarmId === 'bath-below-hot-limit' ? { ...a, state: 'unacknowledged' as const, active: true } : a,
      );
    expect(soundFor(alarms)).toBe(3);
  });
});

describe('a command that is sent twice', () => {
  it('counts once, gets the same answer, and is told apart from another command under the same id', () => {
    const cook = benchCook({ startC: 68 });
    cook.say(say.start(68));
    cook.run(60);
    cook.say(...hutBags());
    const test = give({ kind: 'fork-test', bagId: 'neck', answer: 'not-yet' }, 'fork-1');
    const first = cook.say(test);
    const again = cook.say(test);
    expect(again.results).toEqual(first.results);
    expect(again.events).toEqual([]);
    expect(cook.state().bags.find((bag) => bag.spec.bagId === 'neck')?.forkTests.length).toBe(1);
    const other = give({ kind: 'fork-test', bagId: 'lamb-1', answer: 'ready' }, 'fork-1');
    expect(cook.say(other).results[0]?.code).toBe('command-id-used');
    expect(cook.state().bags.find((bag) => bag.spec.bagId === 'lamb-1')?.forkTests.length).toBe(0);
  });
});

describe('ways of calling that failed', () => {
  it('are forgotten where the log goes on and nobody is called any more, so that no alarm stands for them for ever', () => {
    const cook = benchCook({ startC: 68, keepInputs: true });
    cook.run(5);
    const calls = { failing: [{ channel: 'mail', why: 'no answer' }], ways: 1, waysFailing: 1 };
    const input = { ...cook.inputs.at(-1)!, sequence: 6, restart: { awayMs: 1000 } };
    const without = tick({ ...cook.state(), calls }, input).state;
    expect(without.calls.ways).toBe(0);
    const still = tick(
      { ...cook.state(), calls },
      { ...input, calls: { state: calls, deliveries: [] } },
    ).state;
    expect(still.calls).toEqual(calls);
  });
});

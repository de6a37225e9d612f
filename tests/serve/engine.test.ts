import { describe, expect, it } from 'vitest';
import { guarded } from '../../controller/calls.ts';
import { type AlarmsAhead, type CallsLink, Engine } from '../../controller/engine.ts';
import type { Committed, Journal } from '../../controller/journal/journal.ts';
import type { SoundPattern } from '../../controller/rig/rig.ts';
import { SimulatedRig } from '../../controller/rig/simulated.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState } from '../../controller/tick/state.ts';
import { hutSpec } from '../../shared/bath/plant.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import { type Command, commandSchema } from '../../shared/wire/command.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { DeliveryRow } from '../../shared/wire/reach-view.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import type { CallsInput } from '../../shared/wire/tick.ts';

/** The engine with the clock, the disk and the calling in the test's hand. */
function bed() {
  const checked = checkConfig({});
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  let nowMs = 0;
  const written: TickRecord[] = [];
  let listener: (committed: Committed) => void = () => undefined;
  const journal = {
    write: (record: TickRecord) => void written.push(record),
    snapshot: () => undefined,
    onCommitted: (by: (committed: Committed) => void) => {
      listener = by;
      return () => undefined;
    },
    lagMs: () => hand.lagMs,
  } as unknown as Journal;
  const rig = new SimulatedRig({
    spec: hutSpec(),
    plant: null,
    seed: 1,
    nowMs: 0,
    text: 'bench',
    startC: 68,
  });
  const sounds: SoundPattern[] = [];
  const sounding = Object.assign(rig, { sound: (pattern: SoundPattern) => void sounds.push(pattern) });
  const news: CallsInput[] = [];
  const hand = { hushed: new Set<AlarmId>(), tries: false, lagMs: 0 };
  const ahead: AlarmsAhead[] = [];
  const calls: CallsLink = {
    ahead: (alarms) => void ahead.push(alarms),
    news: () => news.shift(),
    hushed: () => hand.hushed,
    triesSounder: () => hand.tries,
  };
  const clock = { monotonicMs: () => nowMs, wallMs: () => 1.8e12 + nowMs, wallTrusted: () => true };
  const state = startState(settingsFrom(checked.config, 'bench'));
  const parts = {
    clock,
    rig: sounding,
    journal,
    state,
    lastSequence: 0,
    restart: null,
    knownCooks: [],
    calls,
  };
  const engine = new Engine(parts);
  const step = (seconds = 1): void => {
    for (let i = 0; i < seconds; i++) {
      nowMs += 1000;
      engine.step();
    }
  };
  const commit = (): void =>
    listener({ throughSequence: written.at(-1)?.sample.sequence ?? 0, records: written.slice(-1) });
  return { engine, step, commit, written, sounds, news, hand, ahead, rig };
}

const give = (order: object, id: string): Command => commandSchema.parse({ ...order, id, by: 'Hut phone' });
const START = { kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 };
const ROW: DeliveryRow = {
  row: 7,
  wallMs: 1.8e12,
  about: 'alarm',
  alarmIds: ['probe-invalid'],
  personId: 'cook',
  person: 'Night cook',
  channelId: 'c',
  channel: 'mail to c...@hut.example',
  attempt: 1,
  outcome: 'accepted',
  detail: 'the server took it (250)',
};

describe('a command of one id', () => {
  it('that is sent again while it is on its way is carried out once, and both hear the same', async () => {
    const { engine, step, commit, written } = bed();
    const first = engine.submit(give(START, 'start-1'));
    const again = engine.submit(give(START, 'start-1'));
    step();
    const late = engine.submit(give(START, 'start-1'));
    commit();
    const results = await Promise.all([first, again, late]);
    expect(new Set(results.map((one) => JSON.stringify(one))).size).toBe(1);
    expect(results[0]?.accepted).toBe(true);
    step();
    expect(written.flatMap((record) => record.commands).length).toBe(1);
  });

  it('that was carried out is answered at once with what became of it, and stands once in the log', async () => {
    const { engine, step, commit, written } = bed();
    const first = engine.submit(give(START, 'start-1'));
    step();
    commit();
    expect(await engine.submit(give(START, 'start-1'))).toEqual(await first);
    step();
    expect(written.flatMap((record) => record.commands).length).toBe(1);
  });

  it('with other words is refused, on its way and afterwards', async () => {
    const { engine, step, commit } = bed();
    const first = engine.submit(give(START, 'one'));
    const other = give({ ...START, cookId: 'another' }, 'one');
    await expect(engine.submit(other)).rejects.toMatchObject({ code: 'command-id-used' });
    step();
    commit();
    await first;
    expect(await engine.submit(other)).toMatchObject({ accepted: false, code: 'command-id-used' });
  });

  it('is refused with its reason where a thousand wait for a disk that hangs, but for stopping the heat', async () => {
    const { engine, step, commit } = bed();
    const waiting = [engine.submit(give(START, 'a'))];
    step();
    for (let n = 1; n < 1000; n++) waiting.push(engine.submit(give({ kind: 'here' }, `h${n}`)));
    const refused = engine.submit(give({ kind: 'here' }, 'one-more'));
    await expect(refused).rejects.toThrow(/log could not be written.*1000 commands wait for the disk/i);
    // The first that says so is taken, with all that wait before it; any more of them would change nothing.
    const stop = engine.submit(give({ kind: 'stop-heat' }, 's1'));
    await expect(engine.submit(give({ kind: 'stop-heat' }, 's2'))).rejects.toThrow(/heat is off/);
    step();
    expect(engine.state().heat).toMatchObject({ granted: false, stoppedBy: 'Hut phone' });
    await expect(engine.submit(give({ kind: 'stop-heat' }, 's3'))).rejects.toThrow(/heat is off/);
    step(20);
    commit();
    // The fake disk brings its last tick only; what was decided up to it is answered, and there is room again.
    expect((await stop).accepted).toBe(true);
    expect((await Promise.all(waiting)).every(({ accepted }) => accepted)).toBe(true);
    const after = engine.submit(give({ kind: 'here' }, 'after'));
    step();
    commit();
    expect((await after).accepted).toBe(true);
  });

  it('that stops the heat is taken where a thousand wait, also while only what waits asks for heat', async () => {
    for (const last of [[START], [START, { kind: 'stop-heat' }, { kind: 'allow-heat' }]]) {
      const { engine, step } = bed();
      for (let n = last.length; n < 1000; n++) void engine.submit(give({ kind: 'here' }, `h${n}`));
      for (const [n, order] of last.entries()) void engine.submit(give(order, `last${n}`));
      void engine.submit(give({ kind: 'stop-heat' }, 'stop'));
      await expect(engine.submit(give({ kind: 'stop-heat' }, 'more'))).rejects.toThrow(/heat is off/);
      step(20);
      expect(engine.state().cook?.cookId).toBe(START.cookId);
      expect(engine.state().heat).toMatchObject({ granted: false, stoppedBy: 'Hut phone' });
    }
  });

  it('that stops the heat has the last word over what was asked in the same second before it, and over nothing after it', async () => {
    for (const many of [0, 100]) {
      const { engine, step, commit } = bed();
      const earlier = [
        engine.submit(give(START, 'start')),
        engine.submit(give({ kind: 'allow-heat' }, 'on')),
      ];
      // More than one tick takes: the stop must not come a tick after the start.
      for (let n = 0; n < many; n++) earlier.push(engine.submit(give({ kind: 'here' }, `h${n}`)));
      const stop = engine.submit(give({ kind: 'stop-heat' }, 'stop'));
      step();
      expect(engine.state().cook?.cookId).toBe(START.cookId);
      expect(engine.state().heat).toMatchObject({ granted: false, stoppedBy: 'Hut phone' });
      step(5);
      expect(engine.state().heat).toMatchObject({ granted: false, stoppedBy: 'Hut phone' });
      commit();
      expect((await stop).accepted).toBe(true);
      expect((await Promise.all(earlier)).every(({ accepted }) => accepted)).toBe(true);

      const [again, allowed] = [
        engine.submit(give({ kind: 'stop-heat' }, 'stop2')),
        engine.submit(give({ kind: 'allow-heat' }, 'on2')),
      ];
      step();
      commit();
      expect((await again).accepted && (await allowed).accepted).toBe(true);
      expect(engine.state().heat.stoppedBy).toBeNull();
    }
  });

  it('that stops the heat is carried out each time: doing it twice harms nobody', async () => {
    const { engine, step, commit } = bed();
    const go = async (order: object, id: string) => {
      const result = engine.submit(give(order, id));
      step();
      commit();
      expect((await result).accepted).toBe(true);
    };
    await go(START, 'a');
    await go({ kind: 'stop-heat' }, 'stop');
    await go({ kind: 'allow-heat' }, 'b');
    await go({ kind: 'stop-heat' }, 'stop');
    expect(engine.state().heat.stoppedBy).toBe('Hut phone');
  });
});

describe('what the ways of calling report', () => {
  it('enters with the next tick, as an event for the record and as an alarm, and so is replayed with it', () => {
    const { engine, step, written, news } = bed();
    const failing = [{ channel: 'push for Night cook', why: 'answered 500' }];
    news.push({ state: { failing, ways: 2, waysFailing: 1 }, deliveries: [ROW] });
    step();
    const [record] = written;
    expect(record?.input.calls?.deliveries).toEqual([ROW]);
    expect(record?.events.filter((event) => event.kind === 'delivery')).toMatchObject([
      { data: { row: ROW } },
    ]);
    step(10);
    expect(written.at(-1)?.input.calls).toBeUndefined();
    const state = (id: AlarmId) => engine.state().alarms.find((one) => one.alarmId === id)?.state;
    expect(state('channel-failing')).toBe('unacknowledged');
    expect(state('nobody-reachable')).toBe('normal');
    news.push({ state: { failing, ways: 1, waysFailing: 1 }, deliveries: [] });
    step(40);
    expect(state('nobody-reachable')).toBe('unacknowledged');
    news.push({ state: { failing: [], ways: 1, waysFailing: 0 }, deliveries: [] });
    step(40);
    expect(state('channel-failing')).toBe('returned-unacknowledged');
    expect(state('nobody-reachable')).toBe('returned-unacknowledged');
  });
});

describe('a disk that hangs', () => {
  it('keeps nobody from being called: alarms go out ahead of it, each change once', () => {
    const { engine, step, commit, hand, ahead, rig } = bed();
    void engine.submit(give(START, 'start')).catch(() => undefined);
    step(5);
    commit();
    expect(ahead).toEqual([]);
    rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    step(15);
    expect(ahead).toEqual([]);
    hand.lagMs = 6000;
    step(3);
    expect(ahead.map(({ sequence }) => sequence)).toEqual([21, 22, 23]);
    expect(ahead[0]?.standing.map(({ alarmId }) => alarmId)).toContain('probe-invalid');
    const rang = ahead.flatMap(({ rows }) => rows).filter(({ alarmId }) => alarmId === 'probe-invalid');
    expect(rang.map(({ to }) => to)).toEqual(['unacknowledged']);
    hand.lagMs = 0;
    commit();
    step(2);
    expect(ahead).toHaveLength(3);
  });
});

describe('a fault in the calling', () => {
  it('is told once and stops neither the loop nor the sounder', () => {
    const fault = (): never => {
      throw new Error('broken');
    };
    const lines: string[] = [];
    const link = guarded({ ahead: fault, news: fault, hushed: fault, triesSounder: fault }, (line) =>
      lines.push(line),
    );
    link.ahead({ sequence: 1, rows: [], standing: [] });
    expect([link.news(), link.hushed(), link.triesSounder()]).toEqual([undefined, new Set(), false]);
    expect(lines.length).toBe(1);
    expect(lines[0]).toContain('broken');
  });
});

describe('the sounder of the rig', () => {
  it('sounds what nobody has acknowledged, keeps still about what was silenced, and is heard when tried', () => {
    const { engine, step, sounds, rig, hand } = bed();
    void engine.submit(give(START, 'start')).catch(() => undefined);
    step(5);
    expect(sounds.at(-1)).toBe(0);
    hand.tries = true;
    step();
    expect(sounds.at(-1)).toBe(1);
    hand.tries = false;
    rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
    step(15);
    expect(sounds.at(-1)).toBe(3);
    hand.hushed = new Set<AlarmId>(['probe-invalid', 'probe-failing']);
    step();
    expect(sounds.at(-1)).toBe(0);
    hand.hushed = new Set<AlarmId>(['probe-failing']);
    step();
    expect(sounds.at(-1)).toBe(3);
  });
});

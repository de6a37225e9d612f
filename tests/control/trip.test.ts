import { describe, expect, it } from 'vitest';
import { rigFigures } from '../../controller/tick/control/identify/figures.ts';
import { describedJK } from '../../controller/tick/control/identify/rig.ts';
import { attendanceLacks, LACK_IDS, type LackId } from '../../controller/tick/supervise/attendance.ts';
import type { Command } from '../../shared/wire/command.ts';
import type { ConfigInput } from '../../shared/wire/config.ts';
import { type BenchCook, benchCook, say } from './cook.ts';

let ids = 0;
const order = (command: { kind: Command['kind'] } & Record<string, unknown>): Command =>
  ({ id: `o${++ids}`, by: 'Hut phone', ...command }) as unknown as Command;

const PROVEN = {
  switches: 2,
  secondProbe: true,
  levelSwitch: true,
  cutOutProvenOn: '2026-11-01',
  alarmPathProvenOn: '2026-11-01',
} as const;

/** A cook that runs on a rig of that description, learned for ten minutes. */
function cookOn(
  safety: NonNullable<ConfigInput['safety']>,
  relay: 'solid-state' | 'contactor' = 'solid-state',
) {
  const cook = benchCook({ startC: 62, config: { safety, control: { relay } } });
  cook.say(say.start(66));
  cook.run(600);
  return cook;
}

const probe = (cook: BenchCook, fault: 'none' | 'noisy' | 'absent') =>
  cook.rig.plant.apply({ kind: 'probe', probe: 'bath', fault });
const result = (cook: BenchCook, command: Command) => cook.say(command).results[0];
const lackIds = (cook: BenchCook) => attendanceLacks(cook.state()).map(({ id }) => id);

describe('a trip', () => {
  it('opens both switches in the tick that finds it, though a contactor has its minimum on-time', () => {
    const cook = cookOn(PROVEN, 'contactor');
    expect(cook.state().settings.minOnS).toBeGreaterThan(5);
    // Just closed: the minimum on-time has hardly begun.
    for (let i = 0; i < 600 && cook.run(1).lease === null; i++);
    expect(cook.state().proportion.on).toBe(true);
    probe(cook, 'noisy');
    for (let i = 0; i < 60 && cook.state().trip === null; i++) {
      const output = cook.run(1);
      if (cook.state().trip !== null) expect(output).toMatchObject({ lease: null, standBy: false });
    }
    expect(cook.state().trip?.alarmId).toBe('probe-jumping');
    expect(cook.run(30).lease).toBeNull();
  });

  it('keeps its first cause with its words, whatever comes after', () => {
    const cook = cookOn(PROVEN);
    probe(cook, 'noisy');
    cook.run(60);
    const first = cook.state().trip;
    expect(first?.detail).toMatch(/^Saw .+; expected .+\.$/);
    cook.run(1800);
    expect(cook.state().trip).toEqual(first);
  });

  it('is cleared by a person only, only at the bath where it says so, and only once the cause has gone', () => {
    const cook = cookOn(PROVEN);
    probe(cook, 'noisy');
    cook.run(30);
    cook.say(say.acknowledge('probe-jumping'));
    const clear = (atBath: boolean) =>
      result(cook, order({ kind: 'clear', alarmId: 'probe-jumping', atBath }));
    expect(clear(true)).toMatchObject({ accepted: false, code: 'alarm-active' });
    probe(cook, 'none');
    cook.run(600);
    expect(cook.state().trip?.alarmId).toBe('probe-jumping');
    expect(clear(false)).toMatchObject({ accepted: false, code: 'not-at-bath' });
    expect(clear(true)).toMatchObject({ accepted: true });
    cook.run(1);
    expect(cook.state().trip).toBeNull();
    let heated = 0;
    cook.run(900, ({ lease }) => {
      if (lease) heated++;
    });
    expect(heated).toBeGreaterThan(0);
  });

  it('that may be cleared from afar is so only once in six hours', () => {
    const cook = cookOn({ ...PROVEN, presenceMinutes: 10 });
    const lapse = () => {
      for (let i = 0; i < 1200 && cook.state().trip === null; i++) cook.run(1);
      expect(cook.state().trip?.alarmId).toBe('presence-lapsed');
      cook.say(order({ kind: 'here' }), say.acknowledge('presence-lapsed'));
      cook.run(5);
    };
    const clear = (atBath: boolean) =>
      result(cook, order({ kind: 'clear', alarmId: 'presence-lapsed', atBath }));
    lapse();
    expect(clear(false)).toMatchObject({ accepted: true });
    lapse();
    expect(clear(false)).toMatchObject({ accepted: false, code: 'not-at-bath' });
    expect(clear(true)).toMatchObject({ accepted: true });
  });
});

describe('leaving a cook alone', () => {
  const alone = order({ kind: 'set-attendance', unattended: true });

  it('needs every one of its conditions: each is missed by itself', () => {
    const without: Partial<Record<LackId, NonNullable<ConfigInput['safety']>>> = {
      'guard-switch': { ...PROVEN, switches: 1 },
      'second-probe': { ...PROVEN, secondProbe: false },
      'level-switch': { ...PROVEN, levelSwitch: false },
      'cut-out': { ...PROVEN, cutOutProvenOn: null },
      'alarm-path': { ...PROVEN, alarmPathProvenOn: null },
    };
    for (const [id, safety] of Object.entries(without)) {
      const cook = cookOn(safety);
      cook.say(order({ kind: 'answer-alarm-test' }));
      expect(lackIds(cook)).toEqual([id]);
      expect(result(cook, order({ kind: 'set-attendance', unattended: true })), id).toMatchObject({
        accepted: false,
        code: 'not-fit-unattended',
      });
    }
    const cook = cookOn(PROVEN);
    expect(lackIds(cook)).toEqual(['alarm-test']);
    expect(result(cook, alone)).toMatchObject({ accepted: false, code: 'not-fit-unattended' });
    cook.say(order({ kind: 'answer-alarm-test' }));
    expect(result(cook, order({ kind: 'set-attendance', unattended: true }))).toMatchObject({
      accepted: true,
    });
    // Board and ways to people: by what they report now.
    const { watch } = cook.state();
    const down = attendanceLacks({ ...cook.state(), boardUp: false }).map(({ id }) => id);
    expect(down).toEqual(['board']);
    const calls = { failing: [], ways: 2, waysFailing: 2 };
    expect(attendanceLacks({ ...cook.state(), calls }).map(({ id }) => id)).toEqual(['ways']);
    const silent = { ...watch, pair: { ...watch.pair, silentS: 60 } };
    expect(attendanceLacks({ ...cook.state(), watch: silent }).map(({ id }) => id)).toEqual(['second-probe']);
    expect(new Set([...Object.keys(without), 'board', 'ways', 'alarm-test'])).toEqual(new Set(LACK_IDS));
  });

  it('ends where somebody sets aside the alarm by which two probes watch each other', () => {
    for (const aside of [
      { kind: 'shelve', minutes: 60, untilCleared: false } as const,
      { kind: 'out-of-service' } as const,
    ]) {
      const cook = cookOn({ ...PROVEN, presenceMinutes: 30 });
      cook.say(order({ kind: 'answer-alarm-test' }));
      expect(result(cook, order({ kind: 'set-attendance', unattended: true }))?.accepted).toBe(true);
      const more = { alarmId: 'probes-disagree', reason: 'it rings too often', confirmed: true };
      expect(result(cook, order({ ...aside, ...more }))?.accepted).toBe(true);
      expect(lackIds(cook)).toEqual(['second-probe']);
      const lacks = cook.state().alarms.find(({ alarmId }) => alarmId === 'unattended-lacks');
      expect(lacks?.state).toBe('unacknowledged');
      const kind = aside.kind === 'shelve' ? 'unshelve' : 'in-service';
      cook.say(order({ kind, alarmId: 'probes-disagree' }));
      expect(lackIds(cook)).toEqual([]);
    }
  });

  it('ends with the twelve hours of the answered test: somebody is asked for, and heat stops when nobody comes', () => {
    const cook = cookOn({ ...PROVEN, presenceMinutes: 30 });
    cook.say(order({ kind: 'answer-alarm-test' }));
    cook.say(order({ kind: 'set-attendance', unattended: true }));
    const rang = new Map<string, number>();
    const from = cook.state().clockS;
    cook.run(13 * 3600, ({ alarms }) => {
      for (const { alarmId, to } of alarms)
        if (to === 'unacknowledged' && !rang.has(alarmId))
          rang.set(alarmId, (cook.state().clockS - from) / 3600);
    });
    expect(rang.get('unattended-lacks')).toBeGreaterThan(11.99);
    expect(rang.get('unattended-lacks')).toBeLessThan(12.02);
    expect(rang.get('presence-lapsed')).toBeGreaterThanOrEqual(rang.get('unattended-lacks')!);
    expect(cook.state().trip?.alarmId).toBe('presence-lapsed');
  });

  it('is decided anew for each cook', () => {
    const cook = cookOn(PROVEN);
    cook.say(order({ kind: 'answer-alarm-test' }));
    cook.say(order({ kind: 'set-attendance', unattended: true }));
    cook.say(say.end());
    cook.say(
      order({ kind: 'start-cook', cookId: 'next', name: 'Next', setpointC: 66, lowSetpointConfirmed: true }),
    );
    expect(cook.state().attendance.unattended).toBe(false);
  });
});

describe('a rig that nobody has identified', () => {
  it('is taken as described, 40 % either way', () => {
    const { rig, settings } = benchCook().state();
    const told = rigFigures(rig, settings, 66, 20);
    expect(told.identified).toBe(false);
    for (const [figure, described] of [
      [told.watts, settings.elementWatts],
      [told.heatJK, describedJK(settings)],
    ] as const) {
      expect(figure.value).toBeCloseTo(described, 0);
      expect(Math.log(figure.high / described)).toBeGreaterThan(0.25);
      expect(Math.log(described / figure.low)).toBeGreaterThan(0.25);
    }
    expect(Math.log(told.rateCPerS.high / told.rateCPerS.value)).toBeCloseTo(0.4, 1);
  });
});

import { describe, expect, it } from 'vitest';
import { leastLog10 } from '../../controller/tick/estimate/bag.ts';
import { lengthOf } from '../../controller/tick/outage/length.ts';
import type { CoolingTime } from '../../controller/tick/outage/state.ts';
import { lengthWords } from '../../controller/tick/outage/words.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { tick } from '../../controller/tick/tick.ts';
import { commandSchema } from '../../shared/wire/command.ts';
import { statusSchema } from '../../shared/wire/status.ts';
import { say } from '../control/cook.ts';
import { judge } from './power-cut-judge.ts';
import { decide, outage } from './power-cut-restart.ts';
import { drawOutage, runOutage } from './power-cut-world.ts';

/** A small share of the campaign; the whole of it: npm run campaign:outage. */
const SEEDS = [6, 13, 16, 19, 30, 33, 55, 60, 98, 102];

describe('a power cut that was drawn', () => {
  for (const seed of SEEDS) {
    it(`is told with an interval that holds its length, and the food is bridged to the safe side (seed ${seed})`, () => {
      const drawn = drawOutage(seed);
      const outcome = runOutage(drawn);
      const judged = judge(outcome);
      // What the power cut did to clocks and water rings for itself once, and not again as a riddle.
      const stands = outcome.state.alarms
        .filter(({ state }) => state !== 'normal')
        .map(({ alarmId }) => alarmId);
      for (const riddle of ['reading-step', 'clock-stepped', 'tick-late'])
        expect(stands).not.toContain(riddle);
      expect(judged.lethalityAbove).toEqual([]);
      expect(judged.growthBelow).toEqual([]);
      expect([judged.inside, judged.length]).toEqual([true, judged.length]);
      expect(judged.bags).toBe(drawn.bags.length);
    }, 60_000);
  }
});

describe('a restart with food in', () => {
  it('mixes the water for two minutes before anything is reckoned, and gives no heat meanwhile', () => {
    const { cook, steps, first, later } = outage(2 * 3600_000, 60);
    const { state, outputs } = steps(cook.state(), [first, ...later(2, 119)]);
    expect(outputs.every(({ lease }) => lease === null)).toBe(true);
    expect(statusOf(state).outage?.mixingS).toBeGreaterThan(0);
    expect(state.heat.reason).toMatch(/mixed and measured/);
    const done = steps(state, later(121, 700));
    expect(done.state.outage?.phase).toBe('known');
    // The fall of the water is explained: nobody is asked whether food went in, and none is assumed.
    expect(statusOf(done.state).question).toBeNull();
    expect(done.state.bags.length).toBe(3);
    expect(done.state.heat.reason).not.toMatch(/mixed/);
  });

  it('tells how long it was by clock and by cooling, and where they disagree the longer counts and is said', () => {
    const told = (awayMs: number | null, afterC: number) => {
      const { cook, steps, first, later } = outage(awayMs, afterC);
      const { state } = steps(cook.state(), [first, ...later(2, 125)]);
      return statusOf(state).outage?.length;
    };
    const both = told(2.5 * 3600_000, 62.5);
    expect(both?.disagree).toBe(false);
    expect(both?.countsS).toBe(9000);
    const slow = told(60_000, 58);
    expect(slow?.disagree).toBe(true);
    expect(slow?.countsS).toBeGreaterThan(3600);
    expect(slow?.words).toMatch(/disagree: the longer counts/);
    const late = told(11 * 3600_000, 66);
    expect(late?.disagree).toBe(true);
    expect(late?.countsS).toBe(11 * 3600);
    const unknown = told(null, 60);
    expect(unknown?.clockS).toBeNull();
    expect(unknown?.words).toMatch(/clock cannot tell/);
    expect(unknown?.lowS ?? 0).toBeLessThan(unknown?.countsS ?? 0);
    expect(unknown?.highS ?? 0).toBeGreaterThan(unknown?.countsS ?? 0);
  });

  it('says per bag what happened, what the rule says and what heat cannot mend, and offers what may be done', () => {
    const { cook, steps, first, later } = outage(6 * 3600_000, 41, 1200);
    const { state } = steps(cook.state(), [first, ...later(2, 125)]);
    const view = statusOf(state).outage;
    expect(statusSchema.parse(JSON.parse(JSON.stringify(statusOf(state)))).outage).toEqual(view);
    expect(view?.bags.length).toBe(3);
    for (const bag of view?.bags ?? []) {
      expect(bag.broken).toBe(true);
      expect(bag.unmendable).toMatch(/toxins/);
      expect(bag.happened.join(' ')).toMatch(/fell from 6\d\.\d °C to 4[01]\.\d °C \(measured\)/);
      expect(bag.happened.join(' ')).toMatch(/below 57\.2 °C for about \d+ h/);
      expect(bag.options.map(({ choice, advised }) => [choice, advised])).toEqual([
        ['go-on', false],
        ['chill', false],
        ['discard', true],
      ]);
      for (const option of bag.options) expect(option.consequence.length).toBeGreaterThan(40);
    }
    expect(state.alarms.find(({ alarmId }) => alarmId === 'food-limit-broken')?.state).toBe('unacknowledged');
  });

  it('keeps a decision with its name in the record, and closes once every bag has one or is out', () => {
    const { cook, steps, first, later, input } = outage(3600_000, 64);
    const known = steps(cook.state(), [first, ...later(2, 125)]).state;
    const early = steps(cook.state(), [first, input(2, { commands: [decide('neck', 'go-on')] })]);
    expect(early.outputs[1]?.results[0]).toMatchObject({ accepted: false, code: 'no-question' });
    const one = steps(known, [
      input(200, { commands: [decide('neck', 'go-on'), decide('nobody', 'chill')] }),
    ]);
    const [taken, refused] = one.outputs[0]?.results ?? [];
    expect(taken?.accepted).toBe(true);
    expect(refused).toMatchObject({ accepted: false, code: 'bag-unknown' });
    const event = one.outputs[0]?.events.find(({ kind }) => kind === 'outage-decided');
    expect(event?.text).toMatch(/^Ada decided for neck .*go on/);
    expect(event?.data).toMatchObject({ bagId: 'neck', choice: 'go-on', name: 'Ada', by: 'Hut phone' });
    expect(statusOf(one.state).outage?.bags.find(({ bagId }) => bagId === 'neck')?.decision?.name).toBe(
      'Ada',
    );
    const rest = [decide('lamb-1', 'chill', 'Ben'), say.bagOut('lamb-2')];
    const two = steps(one.state, [input(201, { commands: rest })]);
    expect(two.state.outage).toBeNull();
    expect(two.outputs[0]?.events.map(({ kind }) => kind)).toContain('power-cut-closed');
  });

  it('is reckoned at once when somebody takes a bag out before the water is mixed', () => {
    const { cook, steps, first, later, input } = outage(5 * 3600_000, 45);
    const { state } = steps(cook.state(), [
      first,
      ...later(2, 80),
      input(82, { commands: [say.bagOut('neck')] }),
    ]);
    expect(state.outage?.phase).toBe('known');
    const facts = state.outage?.bags.find(({ bagId }) => bagId === 'neck');
    expect((facts?.growth[1] ?? 0) - (facts?.growth[0] ?? 0)).toBeGreaterThan(0);
  });

  it('asks nobody about a restart of seconds that the water agrees with, yet bridges it', () => {
    const { cook, steps, first, later } = outage(4000, 68.05);
    const { state, outputs } = steps(cook.state(), [first, ...later(2, 125)]);
    expect(state.outage).toBeNull();
    expect(outputs.flatMap(({ events }) => events).map(({ kind }) => kind)).toContain('restart-bridged');
  });

  it('rings for a part of the record that a damaged log has lost, and says when and where the files are', () => {
    const { cook, steps, first, later } = outage(3600_000, 64);
    const log = {
      why: 'the write-ahead log: frame 3',
      keptAs: '/data/journal.damaged.sqlite',
      rows: 40,
      goesOn: true,
    };
    const times = { fromMs: Date.UTC(2026, 9, 3, 6), toMs: Date.UTC(2026, 9, 3, 6, 0, 40) };
    const lost = { ...first, restart: { awayMs: 3600_000, log: { ...log, ...times } } };
    const { state } = steps(cook.state(), [lost, ...later(2, 125)]);
    const alarm = state.alarms.find(({ alarmId }) => alarmId === 'log-damaged');
    expect(alarm?.state).not.toBe('normal');
    expect(alarm?.detail).toMatch(
      /40 seconds of the record, from 2026-10-03 06:00:00 UTC to 2026-10-03 06:00:40 UTC/,
    );
    expect(statusOf(state).outage?.log?.keptAs).toBe(log.keptAs);
    // Nobody knows what the bath was told in the lost seconds: the cooling tells no length then.
    expect(statusOf(state).outage?.length?.coolingS).toBeNull();
  });

  it('gives the same bytes again from the same inputs, and through JSON at any moment', () => {
    const { cook, steps, first, later } = outage(null, 60);
    const inputs = [first, ...later(2, 125)];
    const straight = steps(cook.state(), inputs).state;
    let again = cook.state();
    for (const [n, one] of inputs.entries()) {
      if (n % 40 === 0) again = JSON.parse(JSON.stringify(again)) as TickState;
      again = tick(again, one).state;
    }
    expect(JSON.stringify(again)).toBe(JSON.stringify(straight));
  });
});

describe('a core read by hand and a power cut', () => {
  const lowest = (state: TickState) => {
    const { estimate } = state.bags.find(({ spec }) => spec.bagId === 'neck')!;
    return { log10: leastLog10(estimate), coldC: estimate.core.lowC };
  };
  const read = (celsius: number) =>
    commandSchema.parse({
      kind: 'core-reading',
      id: `r${Math.round(celsius)}`,
      by: 'Hut phone',
      bagId: 'neck',
      celsius,
    });

  it('what a reading held lower earns nothing in the cut, by no model that the reading has disproved', () => {
    // Half an hour away, the water two degrees colder: the plain bag earns on meanwhile.
    const earned = [true, false].map((held) => {
      const { cook, steps, first, later } = outage(1_800_000, 66, 6 * 3600);
      if (held) cook.say(read(lowest(cook.state()).coldC - 8));
      const before = lowest(cook.state()).log10;
      const { state } = steps(cook.state(), [first, ...later(2, 130)]);
      expect(state.outage?.phase).not.toBe('mixing');
      return lowest(state).log10 - before;
    });
    expect(earned[1]).toBeGreaterThan(1);
    expect(earned[0]).toBeLessThan(0.1 * earned[1]!);
  });

  it('given while the water is mixed, is judged against the core after the cut and not the one before', () => {
    const { cook, input, steps, first, later } = outage(6 * 3_600_000, 52, 4 * 3600);
    const before = lowest(cook.state()).coldC;
    const { state } = steps(cook.state(), [first, ...later(2, 20), input(22, { commands: [read(56)] })]);
    expect(before).toBeGreaterThan(60);
    const { hand, estimate } = state.bags.find(({ spec }) => spec.bagId === 'neck')!;
    expect(estimate.core.lowC).toBeLessThan(56);
    expect(hand).toMatchObject({ effect: 'none', capC: null, flags: [] });
  });
});

describe('the length of a power cut', () => {
  const cooling = (more: Partial<CoolingTime> = {}): CoolingTime => ({
    middleS: 3600,
    lowS: 3000,
    highS: 4500,
    lidOffS: 600,
    identified: true,
    ...more,
  });
  it('is that of the clock where the cooling agrees; food is then credited for the shortest and held to the longest', () => {
    expect(lengthOf(3700, cooling())).toMatchObject({
      verdict: 'agree',
      countsS: 3700,
      lowS: 600,
      highS: 4500,
      leastS: 600,
      mostS: 4500,
    });
    // A clock alone is no proof of itself, and a rig that nobody identified bounds it by what it is described as.
    const wide = cooling({ identified: false, lowS: 2000, lidOffS: 300, highS: 9000 });
    expect(lengthOf(3700, wide)).toMatchObject({
      verdict: 'agree',
      countsS: 3700,
      lowS: 300,
      highS: 9000,
      leastS: 300,
      mostS: 9000,
    });
    expect(lengthWords(lengthOf(3700, wide))).toMatch(/between 5 min and .*; the short end.*not identified/);
  });
  it('is the longer of both where they disagree', () => {
    expect(lengthOf(120, cooling())).toMatchObject({
      verdict: 'cooling-longer',
      countsS: 3600,
      lowS: 120,
      highS: 4500,
    });
    expect(lengthOf(9000, cooling())).toMatchObject({
      verdict: 'clock-longer',
      countsS: 9000,
      leastS: 600,
      mostS: 9000,
    });
  });
  it('is the likely one of the cooling where the clock cannot tell, and the longest thinkable where nothing can', () => {
    expect(lengthOf(null, cooling({ highS: null }))).toMatchObject({
      verdict: 'cooling-only',
      countsS: 3600,
      highS: 43_200,
    });
    expect(lengthOf(null, null)).toMatchObject({ verdict: 'unknown', countsS: 43_200, leastS: 0 });
  });
});

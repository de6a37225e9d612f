import { describe, expect, it } from 'vitest';
import { parseState } from '../../controller/reach/state.ts';
import { ALARMS } from '../../controller/tick/alarm/table.ts';
import { Bench, HUT, no, YES } from './reach-bench.ts';

// How long to wait before the next person is called is of this house; no standard gives it.

describe('calling', () => {
  it('calls the first person on the first channel at once, and nobody else', () => {
    const bench = new Bench().alarm('bath-below-hot-limit', 'unacknowledged').step().pass(179);
    expect(bench.calls()).toEqual(['cook push@0']);
    expect(bench.sent[0]?.subject).toBe('HIGH: Bath in the danger zone - Hut kitchen');
    expect(bench.lines()).toEqual(['cook accepted']);
  });

  it('goes on to the next channel and the next person when nobody acknowledges within the minutes set', () => {
    const bench = new Bench().alarm('bath-below-hot-limit', 'unacknowledged').step().pass(180);
    expect(bench.calls()).toEqual(['cook push@0', 'cook mail@180', 'warden webhook@180']);
    expect(bench.sent[1]?.text).toContain('Nobody has acknowledged this for 3 min.');
  });

  it('calls everybody again on every channel at intervals once all were tried, for as long as nobody acknowledges', () => {
    const bench = new Bench()
      .alarm('probe-invalid', 'unacknowledged')
      .step()
      .pass(180 + 2 * 600);
    const again = (atS: number) => [`cook push@${atS}`, `cook mail@${atS}`, `warden webhook@${atS}`];
    expect(bench.calls().slice(3)).toEqual([...again(780), ...again(1380)]);
    expect(new Set(bench.sent.map((one) => one.key)).size).toBe(bench.sent.length);
  });

  it('stops once somebody acknowledges, and tells those who were called who did', () => {
    const bench = new Bench().alarm('probe-invalid', 'unacknowledged').step().pass(200);
    bench.alarm('probe-invalid', 'acknowledged', 'Kitchen tablet').step().pass(3600);
    expect(bench.calls()).toHaveLength(3);
    expect(bench.calls('over')).toEqual(['cook push@200', 'warden webhook@200']);
    expect(bench.sent.at(-1)?.text).toContain('Water probe lost: acknowledged by Kitchen tablet.');
    expect(bench.state.letters).toEqual([]);
  });

  it('goes on calling for an alarm whose condition has gone by itself: that is not acknowledgement', () => {
    const bench = new Bench().alarm('bath-below-hot-limit', 'unacknowledged').step().pass(60);
    bench.alarm('bath-below-hot-limit', 'returned-unacknowledged').step().pass(120);
    expect(bench.calls()).toContain('warden webhook@180');
    expect(bench.sent.at(-1)?.text).toContain('gone by itself, but nobody has acknowledged');
  });

  it('calls the next person at the pace of the priority: later for medium, never by itself for low', () => {
    const medium = new Bench().alarm('circulation-stopped', 'unacknowledged').step().pass(901);
    expect(medium.calls()).toEqual(['cook push@0', 'cook mail@900', 'warden webhook@900']);
    const low = new Bench().alarm('load-unexplained', 'unacknowledged').step().pass(7200);
    expect(low.calls()).toEqual(['cook push@0']);
  });

  it('stops for an alarm that somebody shelves or takes out of service', () => {
    for (const state of ['shelved', 'out-of-service'] as const) {
      const bench = new Bench().alarm('probe-invalid', 'unacknowledged').step();
      bench.pass(10).alarm('probe-invalid', state, 'Warden').step().pass(1000);
      expect(bench.calls()).toEqual(['cook push@0']);
      expect(bench.calls('over')).toEqual(['cook push@10']);
    }
  });

  it('says when nobody is called because nobody is named, and still keeps the alarm for the sounder', () => {
    const bench = new Bench({}).alarm('probe-invalid', 'unacknowledged').step({ viewers: 0 });
    expect(bench.sent).toEqual([]);
    expect(bench.last?.sounder).toBe('high');
    expect(bench.rows).toMatchObject([
      { channelId: 'page', outcome: 'failed', detail: 'no page is open anywhere' },
    ]);
  });
});

describe('a way of calling that fails', () => {
  it('is told by a way that works, and not by the failing one alone', () => {
    const bench = new Bench();
    const push = [...bench.parts.roster.channels.values()].find((one) => one.kind === 'push')!;
    bench.answers.push = no('connection refused', { permanent: true, at: 'connect' });
    bench.test(push.id, 7);
    bench.pass(3);
    expect(bench.state.health[push.id]?.failing).toBe(true);
    bench.alarm('channel-failing', 'unacknowledged').step().pass(2);
    const told = bench.sent.filter((one) => one.subject.includes('way of calling')).map((one) => one.who);
    expect(told).toContain('cook mail');
  });
});

describe('an alarm that leaves less time than usual', () => {
  it('calls the next person once half the time to respond of its table is over', () => {
    const bench = new Bench().alarm('heat-not-stopping', 'unacknowledged').step().pass(60);
    expect(ALARMS['heat-not-stopping'].respondS).toBe(120);
    expect(bench.calls()).toEqual(['cook push@0', 'cook mail@60', 'warden webhook@60']);
  });
});

describe('one cause', () => {
  it('calls nobody again for a lesser consequence of what was acknowledged, and again for one as bad', () => {
    const bench = new Bench().alarm('heat-link-lost', 'unacknowledged').step().pass(5);
    bench.alarm('heat-link-lost', 'acknowledged', 'Cook').step();
    bench
      .alarm('bath-low', 'unacknowledged', null, { rings: false, becauseOf: 'heat-link-lost' })
      .step()
      .pass(30);
    expect(bench.calls()).toEqual(['cook push@0']);
    const worse = { rings: true, becauseOf: 'heat-link-lost' } as const;
    bench.alarm('bath-below-hot-limit', 'unacknowledged', null, worse).step().pass(1);
    expect(bench.calls()).toEqual(['cook push@0', 'cook push@35']);
  });

  it('never says of a consequence that it has gone while it holds: it says who knows of its cause', () => {
    const because = { becauseOf: 'heat-link-lost' } as const;
    const bench = new Bench().alarm('heat-link-lost', 'unacknowledged').step().pass(5);
    bench.alarm('bath-low', 'unacknowledged', null, because).step().pass(5);
    bench.alarm('heat-link-lost', 'acknowledged', 'Warden');
    bench.alarm('bath-low', 'unacknowledged', null, { ...because, rings: false }).step();
    expect(bench.calls('over')).toEqual(['cook push@10']);
    expect(bench.sent.at(-1)?.text).toContain(
      'Heater board gives no heat: acknowledged by Warden. Bath below setpoint: still so, a consequence of what Warden has acknowledged.',
    );
    expect(bench.sent.at(-1)?.text).not.toContain('no longer standing');
  });

  it('takes a consequence into the call of its cause while nobody has acknowledged that', () => {
    const bench = new Bench().alarm('heat-link-lost', 'unacknowledged').step().pass(5);
    bench.alarm('heat-no-rise', 'unacknowledged', null, { becauseOf: 'heat-link-lost' }).step().pass(30);
    expect(bench.calls()).toEqual(['cook push@0']);
  });

  it('rings once, though its alarm comes and goes', () => {
    const bench = new Bench().alarm('circulation-stopped', 'unacknowledged').step();
    for (let i = 0; i < 20; i += 1) {
      bench.pass(10).alarm('circulation-stopped', 'returned-unacknowledged').step();
      bench.pass(10).alarm('circulation-stopped', 'unacknowledged').step();
    }
    expect(bench.calls()).toEqual(['cook push@0']);
  });

  it('rings anew after it was acknowledged and came back, also where all that fell between two looks', () => {
    const bench = new Bench().alarm('bath-high', 'unacknowledged').step().pass(5);
    bench.alarm('bath-high', 'acknowledged', 'Cook').alarm('bath-high', 'normal');
    bench.alarm('bath-high', 'unacknowledged').step().pass(5);
    expect(bench.calls()).toEqual(['cook push@0', 'cook push@5']);
  });

  it('rings again where a worse alarm of the same cause joins, from the first person on', () => {
    const bench = new Bench().alarm('bath-low', 'unacknowledged').step().pass(30);
    bench.alarm('bath-below-hot-limit', 'unacknowledged').step().pass(1);
    expect(bench.calls()).toEqual(['cook push@0', 'cook push@30']);
    expect(bench.sent[1]?.subject).toBe('HIGH: Bath in the danger zone, Bath below setpoint - Hut kitchen');
  });

  it('is called out within the time of its own table where one as bad joins long after the calls for its cause', () => {
    const bench = new Bench().alarm('over-setpoint', 'unacknowledged').step().pass(200);
    expect(bench.calls()).toHaveLength(3);
    const because = { becauseOf: 'over-setpoint' } as const;
    bench.alarm('over-temperature', 'unacknowledged', null, because).step();
    bench.pass(119);
    expect(bench.calls()).toHaveLength(3);
    bench.pass(1);
    expect(bench.calls().slice(3)).toEqual(['cook push@320', 'cook mail@320', 'warden webhook@320']);
  });

  it('does not ring again where a milder alarm of the same cause joins', () => {
    const bench = new Bench().alarm('bath-below-hot-limit', 'unacknowledged').step().pass(30);
    bench.alarm('bath-low', 'unacknowledged').step().pass(30);
    expect(bench.calls()).toEqual(['cook push@0']);
    bench.alarm('bath-below-hot-limit', 'acknowledged', 'Cook').step().pass(5);
    expect(bench.calls('over')).toEqual([]);
  });

  it('puts alarms that ring at the same moment into one message, the most urgent first', () => {
    const bench = new Bench()
      .alarm('bath-high', 'unacknowledged')
      .alarm('probe-invalid', 'unacknowledged')
      .step();
    expect(bench.sent.map((one) => one.subject)).toEqual([
      'HIGH: Water probe lost, Bath above setpoint - Hut kitchen',
    ]);
  });

  it('is called out from what stands, also where the change itself was never seen', () => {
    const bench = new Bench().alarm('probe-invalid', 'unacknowledged').loseChanges().step();
    expect(bench.calls()).toEqual(['cook push@0']);
    bench.pass(5).alarm('probe-invalid', 'acknowledged', 'Cook').loseChanges().step();
    expect(bench.sent.at(-1)?.text).toContain('acknowledged by Cook');
  });
});

describe('quiet hours', () => {
  const quiet = { ...HUT, quietHours: { from: '22:00', to: '06:00' } };

  it('never hold back high priority', () => {
    const bench = new Bench(quiet).alarm('bath-below-hot-limit', 'unacknowledged').step().pass(181);
    expect(bench.calls()).toEqual(['cook push@0', 'cook mail@180', 'warden webhook@180']);
    expect(bench.last?.sounder).toBe('high');
  });

  it('hold back the rest, say so once, and call when they end if still nobody has acknowledged', () => {
    // The bench begins at 02:00 in the hut's zone; four hours to go.
    const bench = new Bench(quiet)
      .alarm('bath-high', 'unacknowledged')
      .step()
      .pass(4 * 3600 - 1);
    expect(bench.calls()).toEqual([]);
    expect(bench.lines()).toEqual(['cook held', 'warden held']);
    expect(bench.last?.sounder).toBeNull();
    bench.pass(1);
    expect(bench.calls()).toEqual(['cook push@14400']);
    expect(bench.last?.sounder).toBe('medium');
  });

  it('of one person make the next be called in their stead', () => {
    const [cook, warden] = HUT.people;
    const people = [{ ...cook, quietHours: { from: '00:00', to: '05:00' } }, warden];
    const bench = new Bench({ ...HUT, people }).alarm('bath-high', 'unacknowledged').step().pass(10);
    expect(bench.calls()).toEqual(['warden webhook@0']);
  });

  it('do not apply by a clock that may be wrong', () => {
    const bench = new Bench(quiet);
    bench.wallTrusted = false;
    bench.alarm('bath-high', 'unacknowledged').step();
    expect(bench.calls()).toEqual(['cook push@0']);
    expect(bench.sent[0]?.text).toContain('clock of the controller is not set');
  });
});

describe('the sounder', () => {
  it('sounds the highest priority that nobody has seen, and stops when it is seen', () => {
    const bench = new Bench().alarm('bath-high', 'unacknowledged').step();
    expect(bench.last?.sounder).toBe('medium');
    bench.alarm('probe-invalid', 'unacknowledged').step();
    expect(bench.last?.sounder).toBe('high');
    bench.alarm('probe-invalid', 'acknowledged', 'Cook').alarm('bath-high', 'acknowledged', 'Cook').step();
    expect(bench.last?.sounder).toBeNull();
  });
});

describe('a restart', () => {
  it('forgets nothing: the calling goes on where it was', () => {
    const bench = new Bench().alarm('probe-invalid', 'unacknowledged').step().pass(60).restart().pass(121);
    expect(bench.calls()).toEqual(['cook push@0', 'cook mail@180', 'warden webhook@180']);
  });

  it('sends again what was under way, under the same key, because nobody knows whether it arrived', () => {
    const bench = new Bench();
    bench.answers.push = undefined;
    bench.alarm('probe-invalid', 'unacknowledged').step().restart();
    bench.answers.push = YES;
    bench.pass(5);
    expect(bench.calls()).toEqual(['cook push@0', 'cook push@1']);
    expect(bench.sent[1]?.key).toBe(bench.sent[0]?.key);
  });

  it('gives the same key even where all that was kept is lost, so that the other end can tell', () => {
    const first = new Bench().alarm('probe-invalid', 'unacknowledged').step();
    const second = new Bench().alarm('probe-invalid', 'unacknowledged').step();
    expect(second.sent[0]?.key).toBe(first.sent[0]?.key);
  });

  it('does not take a state of another form for its own', () => {
    const bench = new Bench().alarm('probe-invalid', 'unacknowledged').step();
    const kept = JSON.stringify(bench.state);
    expect(parseState(kept.slice(0, -2))).toBeNull();
    expect(parseState(kept.replace('"step":1', '"step":"one"'))).toBeNull();
    expect(parseState(kept)).toEqual(bench.state);
  });
});

describe('log lines', () => {
  it('say when, which alarm, whom, by what, which attempt and what came of it', () => {
    const bench = new Bench();
    bench.answers.push = no('the push service answered 500');
    bench.alarm('probe-invalid', 'unacknowledged').step().pass(1);
    expect(bench.rows[0]).toMatchObject({
      row: 1,
      wallMs: bench.wallMs,
      about: 'alarm',
      alarmIds: ['probe-invalid'],
      personId: 'cook',
      person: 'Night cook',
      channel: 'push for Night cook',
      attempt: 1,
      outcome: 'failed',
      detail: 'the push service answered 500',
    });
  });
});

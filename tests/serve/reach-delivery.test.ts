import { describe, expect, it } from 'vitest';
import { failingOf, healthOf } from '../../controller/reach/health.ts';
import { LETTERS_MOST } from '../../controller/reach/letters.ts';
import { backoffMs, SEND_LOST_MS } from '../../controller/reach/outbox.ts';
import type { Duty } from '../../controller/reach/work.ts';
import { Bench, HUT, no, YES } from './reach-bench.ts';

const ring = (bench: Bench): Bench => bench.alarm('probe-invalid', 'unacknowledged').step();

describe('an attempt', () => {
  it('that was accepted is not made again', () => {
    const bench = ring(new Bench()).pass(170);
    expect(bench.calls()).toEqual(['cook push@0']);
  });

  it('that failed is made again after 5, 15, 45 and 135 s, then every 5 min, under the same key', () => {
    const bench = new Bench({ ...HUT, people: HUT.people.slice(1) });
    bench.answers.webhook = no();
    ring(bench).pass(1108);
    // The answer is taken in one step after the attempt, hence the seconds beyond.
    expect(bench.sent.map((one) => one.atS)).toEqual([0, 6, 22, 68, 204, 505, 806, 1107]);
    expect(new Set(bench.sent.map((one) => one.key)).size).toBe(1);
    expect([1, 2, 3, 4, 5, 6].map((n) => backoffMs(n, null))).toEqual([5e3, 15e3, 45e3, 135e3, 3e5, 3e5]);
    expect(bench.lines().at(-1)).toBe('warden gave-up');
  });

  it('waits as long as the other end asks, but never longer than 5 min', () => {
    expect(backoffMs(1, 60_000)).toBe(60_000);
    expect(backoffMs(1, 86_400_000)).toBe(300_000);
    expect(backoffMs(4, 1000)).toBe(135_000);
  });

  it('that failed twice brings the next channel and person forward at once', () => {
    const bench = new Bench();
    bench.answers.push = no();
    ring(bench).pass(8);
    expect(bench.calls()).toEqual(['cook push@0', 'cook push@6', 'cook mail@7', 'warden webhook@7']);
  });

  it('that was flatly refused is not repeated, and brings the next forward at once', () => {
    const bench = new Bench();
    bench.answers.push = no('gone', { permanent: true });
    ring(bench).pass(2);
    expect(bench.calls()).toEqual(['cook push@0', 'cook mail@1', 'warden webhook@1']);
    expect(bench.lines().slice(0, 1)).toEqual(['cook gave-up']);
  });

  it('brings forward one step only, however often it fails after that', () => {
    const people = [1, 2, 3, 4].map((n) => ({
      id: `p${n}`,
      name: `Person ${n}`,
      channels: [n === 1 ? { kind: 'push' } : { kind: 'mail', to: `p${n}@hut.example` }],
    }));
    const bench = new Bench({ ...HUT, people });
    bench.answers.push = no();
    ring(bench).pass(8);
    bench.answers.push = no('gone', { permanent: true });
    bench.pass(112);
    expect(bench.lines()).toContain('p1 gave-up');
    expect(bench.calls().filter((call) => !call.startsWith('p1'))).toEqual(['p2 mail@7']);
  });

  it('that brings nothing at all counts as lost in the end, and is made again', () => {
    const bench = new Bench({ ...HUT, people: HUT.people.slice(1) });
    bench.answers.webhook = undefined;
    ring(bench).pass(SEND_LOST_MS / 1000);
    expect(bench.last?.abandon).toEqual([bench.sent[0]?.letterId]);
    bench.pass(6);
    expect(bench.sent.map((one) => one.atS)).toEqual([0, SEND_LOST_MS / 1000 + 5]);
  });

  it('whose yes comes after it was counted as lost still counts, and ends the repeating', () => {
    const bench = new Bench({ ...HUT, people: HUT.people.slice(1) });
    bench.answers.webhook = undefined;
    ring(bench).pass(SEND_LOST_MS / 1000 + 2);
    bench
      .result({ of: 'letter', letterId: bench.sent[0]!.letterId, attempt: 1, outcome: YES })
      .step()
      .pass(60);
    expect(bench.calls()).toEqual(['warden webhook@0']);
  });

  it('whose no comes late, after another attempt began, changes nothing', () => {
    const bench = new Bench({ ...HUT, people: HUT.people.slice(1) });
    bench.answers.webhook = undefined;
    ring(bench).pass(SEND_LOST_MS / 1000 + 6);
    const before = JSON.stringify(bench.state.letters);
    bench.result({ of: 'letter', letterId: bench.sent[0]!.letterId, attempt: 1, outcome: no() }).step();
    expect(JSON.stringify(bench.state.letters)).toBe(before);
  });

  it('is one at a time on each channel, the most urgent first', () => {
    const bench = new Bench();
    bench.answers.push = undefined;
    bench.alarm('bath-high', 'unacknowledged').step();
    bench.alarm('load-unexplained', 'unacknowledged').pass(1);
    bench.alarm('probe-invalid', 'unacknowledged').pass(10);
    expect(bench.calls()).toEqual(['cook push@0']);
    bench.answers.push = YES;
    bench.result({ of: 'letter', letterId: bench.sent[0]!.letterId, attempt: 1, outcome: YES }).pass(5);
    expect(bench.sent.map((one) => one.subject.split(':')[0])).toEqual(['MEDIUM', 'HIGH', 'LOW']);
  });
});

describe('what is over', () => {
  it('is dropped from the queue before it leaves', () => {
    const bench = new Bench();
    bench.answers.push = no();
    ring(bench).pass(2);
    bench.alarm('probe-invalid', 'acknowledged', 'Cook').step().pass(600);
    expect(bench.calls()).toEqual(['cook push@0']);
    expect(bench.lines()).toEqual(['cook failed', 'cook dropped']);
    expect(bench.calls('over')).toEqual([]);
  });

  it('while the call is on its way is told once the call has got through', () => {
    const bench = new Bench();
    bench.answers.push = undefined;
    ring(bench).pass(2);
    bench.alarm('probe-invalid', 'acknowledged', 'Cook').step();
    bench.answers.push = YES;
    bench.result({ of: 'letter', letterId: bench.sent[0]!.letterId, attempt: 1, outcome: YES }).step();
    expect(bench.calls('over')).toEqual(['cook push@2']);
  });

  it('is not told where the house does not want it', () => {
    const bench = ring(new Bench({ ...HUT, tellWhenOver: false })).pass(2);
    bench.alarm('probe-invalid', 'acknowledged', 'Cook').step().pass(5);
    expect(bench.calls('over')).toEqual([]);
  });
});

describe('the queue', () => {
  it('never holds more than its limit; tests go before alarms do', () => {
    const channels = [1, 2, 3, 4, 5, 6].map((n) => ({ kind: 'mail', to: `c${n}@hut.example` }));
    const people = Array.from({ length: 12 }, (_, n) => ({ id: `p${n}`, name: `P${n}`, channels }));
    const bench = new Bench({ ...HUT, people });
    bench.answers.mail = undefined;
    for (let i = 0; i < 3; i += 1) {
      for (const id of bench.parts.roster.channels.keys()) bench.test(id, i);
    }
    expect(bench.state.letters).toHaveLength(LETTERS_MOST);
    ring(bench);
    expect(bench.state.letters).toHaveLength(LETTERS_MOST);
    expect(bench.state.letters.some((one) => one.message.kind === 'alarm')).toBe(true);
  });

  it('drops what is for a channel that is no longer in the configuration', () => {
    const bench = new Bench();
    bench.answers.push = no();
    ring(bench);
    const other = new Bench({ ...HUT, people: HUT.people.slice(1) });
    other.state = bench.state;
    other.alarm('probe-invalid', 'unacknowledged').pass(1);
    expect(other.rows.find((row) => row.outcome === 'dropped')?.detail).toContain(
      'no longer in the configuration',
    );
  });
});

describe('a channel that fails', () => {
  it('is named with since when and why after two failures, and no more once it works again', () => {
    const bench = new Bench();
    bench.answers.mail = no('the mail server cannot be reached');
    ring(bench).pass(181);
    expect(failingOf(bench.state, bench.parts)).toEqual([]);
    const since = bench.wallMs;
    bench.pass(6);
    expect(failingOf(bench.state, bench.parts)).toMatchObject([
      {
        channel: 'mail to c…@hut.example for Night cook',
        sinceMs: since,
        why: 'the mail server cannot be reached',
      },
    ]);
    bench.answers.mail = YES;
    bench.pass(60);
    expect(failingOf(bench.state, bench.parts)).toEqual([]);
  });

  it('does not cost the time of a step: the next channel is called together with it', () => {
    const bench = new Bench();
    bench.answers.push = no('gone', { permanent: true });
    ring(bench).pass(5).alarm('probe-invalid', 'acknowledged', 'Cook').step().pass(5);
    const before = bench.calls().length;
    bench.alarm('bath-high', 'unacknowledged').step();
    expect(bench.calls().slice(before)).toEqual(['cook push@10', 'cook mail@10']);
  });
});

describe('what is looked after at intervals', () => {
  const duty = (proves: boolean): Duty => ({
    label: 'the heartbeat',
    everyMs: 60_000,
    againMs: 10_000,
    proves,
  });
  const dues = (bench: Bench, seconds: number, id: string): number[] => {
    const at: number[] = [];
    for (let i = 0; i < seconds; i += 1) {
      if (bench.last?.duties.includes(id)) at.push(bench.clockMs / 1000);
      bench.pass(1);
    }
    return at;
  };

  it('falls due at its interval, sooner after a failure', () => {
    const bench = new Bench({}, undefined, new Map([['heartbeat', duty(true)]])).step();
    expect(dues(bench, 130, 'heartbeat')).toEqual([0, 60, 120]);
    bench.result({ of: 'duty', channelId: 'heartbeat', outcome: no('503') }).step();
    expect(dues(bench, 30, 'heartbeat')).toEqual([140]);
  });

  it('fails after two failures, which is logged once, and so is its recovery', () => {
    const bench = new Bench({}, undefined, new Map([['heartbeat', duty(true)]])).step();
    for (let i = 0; i < 5; i += 1)
      bench.result({ of: 'duty', channelId: 'heartbeat', outcome: no('503') }).pass(1);
    expect(failingOf(bench.state, bench.parts)).toMatchObject([{ channelId: 'heartbeat', why: '503' }]);
    bench.result({ of: 'duty', channelId: 'heartbeat', outcome: YES }).pass(1);
    expect(failingOf(bench.state, bench.parts)).toEqual([]);
    expect(bench.lines()).toEqual(['heartbeat failed', 'heartbeat working-again']);
    expect(healthOf(bench.state, 'heartbeat').lastAcceptedWallMs).toBe(bench.wallMs);
  });

  it('of a channel clears what it could have found itself, but not a refused message', () => {
    const probe = new Bench();
    const [pushId] = [...probe.parts.roster.channels.keys()];
    const make = () => new Bench(HUT, undefined, new Map([[pushId!, duty(false)]]));
    const refused = make();
    refused.answers.push = no('403', { permanent: true });
    ring(refused).pass(1).result({ of: 'duty', channelId: pushId!, outcome: YES }).pass(1);
    expect(failingOf(refused.state, refused.parts)).toHaveLength(1);
    const unreachable = make();
    unreachable.answers.push = no('no route', { permanent: true, at: 'connect' });
    ring(unreachable).pass(1).result({ of: 'duty', channelId: pushId!, outcome: YES }).pass(1);
    expect(failingOf(unreachable.state, unreachable.parts)).toEqual([]);
  });
});

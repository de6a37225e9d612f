import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LETTERS_MOST } from '../../controller/reach/letters.ts';
import type { AlarmId, AlarmState } from '../../shared/wire/alarm.ts';
import { Bench, no, YES } from './reach-bench.ts';

const ALARMS: AlarmId[] = [
  'bath-low',
  'bath-below-hot-limit',
  'bath-high',
  'probe-invalid',
  'load-unexplained',
];
const STATES: AlarmState[] = [
  'unacknowledged',
  'returned-unacknowledged',
  'acknowledged',
  'normal',
  'shelved',
];

/** People with one to three channels each, some with quiet hours. */
const house = fc
  .array(
    fc.record({
      kinds: fc.subarray(['push', 'mail', 'mqtt'], { minLength: 1 }),
      quiet: fc.constantFrom('house', null, { from: '01:00', to: '02:30' }, { from: '23:00', to: '03:00' }),
    }),
    { minLength: 1, maxLength: 4 },
  )
  .map((people) => ({
    people: people.map(({ kinds, quiet }, n) => ({
      id: `p${n}`,
      name: `Person ${n}`,
      quietHours: quiet,
      channels: kinds.map((kind) => (kind === 'mail' ? { kind, to: `p${n}@hut.example` } : { kind })),
    })),
    timeZone: 'Europe/Zurich',
    mail: { host: 'mail.example', from: 'bath@hut.example' },
    mqtt: { host: 'broker.example' },
    push: { contact: 'mailto:warden@hut.example' },
  }));

const outcome = fc.constantFrom(
  YES,
  no('500'),
  no('404', { permanent: true }),
  no('down', { at: 'connect' }),
  undefined,
);

const action = fc.oneof(
  {
    weight: 3,
    arbitrary: fc.record({ alarmId: fc.constantFrom(...ALARMS), to: fc.constantFrom(...STATES) }),
  },
  { weight: 4, arbitrary: fc.record({ passS: fc.constantFrom(1, 5, 30, 200, 700) }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constantFrom('push', 'mail', 'mqtt'), outcome }) },
  { weight: 1, arbitrary: fc.constant({ restart: true }) },
);

function apply(bench: Bench, one: object): void {
  if ('alarmId' in one) {
    const { alarmId, to } = one as { alarmId: AlarmId; to: AlarmState };
    bench.alarm(alarmId, to, to === 'acknowledged' ? 'Cook' : null).step();
  } else if ('passS' in one) {
    // Few steps for long times: what is due is due at the next step.
    const { passS } = one as { passS: number };
    for (let i = 0; i < 10; i += 1) {
      bench.clockMs += passS * 100;
      bench.step();
    }
  } else if ('kind' in one) {
    const { kind, outcome: next } = one as { kind: string; outcome: ReturnType<typeof no> | undefined };
    bench.answers[kind] = next;
  } else {
    bench.restart();
  }
}

describe('calling, whatever happens', () => {
  it('makes one attempt at a time on a channel, numbers attempts, keeps its limits, and calls for nothing once all is seen', () => {
    fc.assert(
      fc.property(house, fc.array(action, { maxLength: 40 }), (config, actions) => {
        const bench = new Bench(config);
        for (const one of actions) {
          apply(bench, one);
          const { letters, incidents } = bench.state;
          const busy = letters
            .filter((letter) => letter.sentClockMs !== null)
            .map((letter) => letter.channelId);
          expect(new Set(busy).size).toBe(busy.length);
          expect(letters.length).toBeLessThanOrEqual(LETTERS_MOST);
          expect(new Set(incidents.map((incident) => incident.cause)).size).toBe(incidents.length);
        }
        const attempts = bench.sent.map((sent) => `${sent.letterId}/${sent.attempt}`);
        expect(new Set(attempts).size).toBe(attempts.length);
        for (const alarmId of ALARMS) bench.alarm(alarmId, 'normal', 'Cook');
        bench.step();
        const before = bench.sent.length;
        for (const kind of ['push', 'mail', 'mqtt']) bench.answers[kind] = YES;
        for (let i = 0; i < 30; i += 1) apply(bench, { passS: 700 });
        expect(bench.sent.slice(before).filter((sent) => sent.kind === 'alarm')).toEqual([]);
        expect(bench.state).toMatchObject({ letters: [], incidents: [] });
        expect(bench.last?.sounder).toBeNull();
      }),
      { numRuns: 150 },
    );
  });

  it('calls everybody on every channel for a high priority that nobody acknowledges, asleep or not, whatever fails first', () => {
    fc.assert(
      fc.property(house, fc.array(outcome, { minLength: 3, maxLength: 3 }), (config, outcomes) => {
        const bench = new Bench(config);
        ['push', 'mail', 'mqtt'].forEach((kind, n) => {
          bench.answers[kind] = outcomes[n];
        });
        bench.alarm('bath-below-hot-limit', 'unacknowledged').step();
        // People less one, and channels less one, steps of three minutes; a hanging attempt adds nothing to that.
        const steps =
          config.people.length - 1 + Math.max(...config.people.map((one) => one.channels.length)) - 1;
        bench.pass(steps * 180 + 1);
        const called = new Set(bench.sent.map((sent) => sent.who));
        expect(called.size).toBe(bench.parts.roster.channels.size);
        expect(bench.last?.sounder).toBe('high');
      }),
      { numRuns: 30 },
    );
  });

  it('decides the same from the same, and the same after its state went through JSON', () => {
    fc.assert(
      fc.property(house, fc.array(action, { maxLength: 25 }), (config, actions) => {
        const [one, other] = [new Bench(config), new Bench(config)];
        for (const each of actions) {
          apply(one, each);
          other.state = JSON.parse(JSON.stringify(other.state));
          apply(other, each);
        }
        expect(other.sent).toEqual(one.sent);
        expect(other.state).toEqual(one.state);
      }),
      { numRuns: 60 },
    );
  });
});

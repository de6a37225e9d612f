import { describe, expect, it } from 'vitest';
import { begin } from '../../controller/reach/plan.ts';
import { hushedAlarms, silence } from '../../controller/reach/silence.ts';
import { Bench, HUT } from './reach-bench.ts';

const hushed = (bench: Bench) =>
  [
    ...hushedAlarms(
      bench.state,
      { clockMs: bench.clockMs, wallMs: bench.wallMs, wallTrusted: bench.wallTrusted },
      bench.parts.rules,
    ),
  ].toSorted();

function press(bench: Bench): void {
  const { clockMs, wallMs, wallTrusted } = bench;
  const input = { clockMs, wallMs, wallTrusted, standing: null, rows: [], results: [], viewers: null };
  const work = begin(bench.state, input, bench.parts);
  silence(work, 'Hut phone');
  bench.state = work.next;
}

const NIGHTLY = { ...HUT, quietHours: { from: '22:00', to: '06:00' } };

describe('silence of the sounder', () => {
  it('is for what rings then, for the minutes set, and neither acknowledges nor stops the calling', () => {
    const bench = new Bench().alarm('probe-invalid', 'unacknowledged').step().pass(5);
    press(bench);
    expect(hushed(bench)).toEqual(['probe-invalid']);
    bench.alarm('water-low', 'unacknowledged').step();
    expect(hushed(bench)).toEqual(['probe-invalid']);
    bench.pass(4 * 60);
    expect(bench.calls()).toContain('warden webhook@180');
    expect(hushed(bench)).toEqual(['probe-invalid']);
    bench.pass(60);
    expect(hushed(bench)).toEqual([]);
  });

  it('is not for an alarm as bad that joins the same cause afterwards, nor for one that rings anew', () => {
    const because = { becauseOf: 'over-setpoint' } as const;
    const bench = new Bench().alarm('over-setpoint', 'unacknowledged').step().pass(5);
    press(bench);
    expect([hushed(bench), bench.step().last?.sounder]).toEqual([['over-setpoint'], null]);
    bench.alarm('over-temperature', 'unacknowledged', null, because).step();
    expect([hushed(bench), bench.last?.sounder]).toEqual([['over-setpoint'], 'high']);
    press(bench);
    expect(hushed(bench)).toEqual(['over-setpoint', 'over-temperature']);
    bench.alarm('over-setpoint', 'returned-unacknowledged').step().pass(5);
    bench.alarm('over-setpoint', 'unacknowledged').step();
    expect(hushed(bench)).toEqual(['over-temperature']);
  });

  it('outlives a restart where it is known how long that took, and ends where it is not', () => {
    for (const awayKnown of [true, false]) {
      const bench = new Bench().alarm('probe-invalid', 'unacknowledged').step();
      press(bench);
      bench.restart(awayKnown).step();
      expect(hushed(bench)).toEqual(awayKnown ? ['probe-invalid'] : []);
    }
  });

  it('comes with the quiet hours of the house for medium and low, never for high, never by a clock that may be wrong', () => {
    const bench = new Bench(NIGHTLY);
    bench.alarm('probe-invalid', 'unacknowledged').alarm('circulation-stopped', 'unacknowledged');
    bench.alarm('rig-drift', 'unacknowledged').step();
    expect(hushed(bench)).toEqual(['circulation-stopped', 'rig-drift']);
    bench.wallTrusted = false;
    expect(hushed(bench)).toEqual([]);
  });
});

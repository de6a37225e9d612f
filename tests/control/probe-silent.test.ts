import { describe, expect, it } from 'vitest';
import type { TickState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { tick } from '../../controller/tick/tick.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { benchCook } from './cook.ts';
import { command, earns, log10, type Probed, probed, type Shows } from './probed.ts';

const slower: Shows = (lowC) => lowC - 6;
const silent: Shows = () => null;

/** Three and a half hours with a probe that shows the piece 6 K under the coldest case. */
function slowNeck(): Probed {
  const one = probed();
  one.shows(slower);
  one.cook.run(3.5 * 3600);
  return one;
}

const holdOf = (state: TickState) => statusOf(state).bags[0]!.probeHold;
/** Half an hour of the usual bag, which nobody probes: what the model alone would credit. */
const plain = probed();
plain.cook.run(3.5 * 3600);
const usual = earns(plain, 1800);

describe('a probe that showed the piece slower than the model', () => {
  it('and falls silent for good leaves the credit lowered: no more is earned than at what it last showed, and page and record say so', () => {
    const one = slowNeck();
    const live = earns(one, 1800);
    expect(live).toBeLessThan(0.2 * usual);
    expect(holdOf(one.cook.state())).toBeNull();
    one.shows(silent);
    const kinds: string[] = [];
    one.cook.run(10, (output) => kinds.push(...output.events.map(({ kind }) => kind)));
    expect(kinds.filter((kind) => kind === 'probe-held')).toHaveLength(1);
    expect(holdOf(one.cook.state())?.celsius).toBeCloseTo(one.cook.state().bags[0]!.wired!.celsius, 9);
    const hold = one.cook.state().bags[0]!.wired!;
    expect(earns(one, 1800)).toBeLessThan(1.05 * live);
    // Two hours on it is the same hold.
    one.cook.run(7200);
    expect(one.cook.state().bags[0]!.wired).toEqual(hold);
    expect(earns(one, 1800)).toBeLessThan(1.05 * live);
  });

  it('and is taken out altogether, or lies in the water and is heard, gives nothing back either', () => {
    for (const gone of [() => undefined, () => 61.9, () => 75] as Shows[]) {
      const one = slowNeck();
      one.shows(gone);
      expect(earns(one, 1800)).toBeLessThan(0.2 * usual);
      expect(holdOf(one.cook.state())).not.toBeNull();
    }
  });

  it('and is silent for two minutes earns no more meanwhile than when heard, and goes on measured', () => {
    const [heard, dropped] = [slowNeck(), slowNeck()];
    dropped.shows(silent);
    heard.cook.run(120);
    dropped.cook.run(120);
    expect(log10(dropped.cook.state())).toBeLessThanOrEqual(log10(heard.cook.state()) + 1e-3);
    dropped.shows(slower);
    heard.cook.run(600);
    dropped.cook.run(600);
    expect(holdOf(dropped.cook.state())).toBeNull();
    expect(log10(dropped.cook.state())).toBeLessThanOrEqual(log10(heard.cook.state()) + 1e-3);
    expect(log10(dropped.cook.state())).toBeGreaterThan(0);
  });

  it('is remembered over a restart, a bag described anew and a bag afloat', () => {
    const one = slowNeck();
    one.shows(silent);
    one.cook.run(60);
    one.cook.say(command({ kind: 'bag-lies', lies: 'afloat' }));
    expect(earns(one, 600)).toBe(0);
    one.cook.say(command({ kind: 'bag-lies', lies: 'under' }));
    expect(earns(one, 1800)).toBeLessThan(0.2 * usual);
    const spec = { ...one.cook.state().bags[0]!.spec, thicknessMm: 40 };
    const before = log10(one.cook.state());
    one.cook.say(command({ kind: 'edit-bag', bag: spec }));
    expect(log10(one.cook.state())).toBeLessThanOrEqual(before + 0.01);
    expect(earns(one, 1800)).toBeLessThan(0.2 * usual);
    const last = one.cook.inputs.at(-1)!;
    let state = JSON.parse(JSON.stringify(one.cook.state())) as TickState;
    const stood = log10(state);
    for (let i = 1; i <= 2400; i++) {
      const awayMs = 20 * 60_000;
      const input: TickInput = {
        ...last,
        sequence: last.sequence + i,
        monotonicMs: i * 1000,
        wallMs: last.wallMs + awayMs + i * 1000,
        commands: [],
        restart: i === 1 ? { awayMs, log: null } : null,
        readings: { ...last.readings, bath: { ...last.readings.bath, sequence: i, monotonicMs: i * 1000 } },
      };
      state = tick(state, input).state;
    }
    expect(holdOf(state)).not.toBeNull();
    expect(state.bags[0]!.carriedS).toBeGreaterThan(one.cook.state().clockS + 3000);
    expect(log10(state) - stood).toBeLessThan(0.3 * usual);
  });

  it('and catches up with it by and by costs nothing once it has', () => {
    const one = probed();
    let lag = 6;
    one.shows((lowC) => {
      lag -= 0.001;
      return lowC - Math.max(-0.6, lag);
    });
    one.cook.run(3.5 * 3600);
    expect(one.cook.state().bags[0]!.wired).toBeNull();
    one.shows(silent);
    expect(earns(one, 1800)).toBeGreaterThan(0.9 * usual);
  });

  it('for less than a minute after it was put in was only warming up', () => {
    const one = probed();
    one.cook.run(3.5 * 3600);
    one.shows(() => 25);
    one.cook.run(30);
    one.shows((lowC) => lowC + 0.6);
    one.cook.run(30);
    expect(one.cook.state().bags[0]!.wired).toBeNull();
  });

  it('is overruled by a reading at the searched cold spot alone, and by none that meat cannot have', () => {
    const one = slowNeck();
    one.shows(silent);
    one.cook.run(60);
    const read = (celsius: number, more: object = {}) =>
      one.cook.say(command({ kind: 'core-reading', celsius, errorC: 0.5, ...more }));
    const low = () => one.cook.state().bags[0]!.estimate.core.lowC;
    read(low() + 0.6);
    read(75, { coldSpot: 'lowest of three places' });
    expect(earns(one, 1800)).toBeLessThan(0.2 * usual);
    read(low() + 0.6, { coldSpot: 'lowest of three places' });
    expect(holdOf(one.cook.state())).toBeNull();
    expect(earns(one, 1800)).toBeGreaterThan(0.9 * usual);
  });

  it('gives the same bits when its inputs are replayed', () => {
    const one = slowNeck();
    one.shows(silent);
    one.cook.run(300);
    const again = benchCook({ startC: 62 });
    let state = again.state();
    for (const input of one.cook.inputs)
      state = tick(JSON.parse(JSON.stringify(state)) as TickState, input).state;
    expect(JSON.stringify(state)).toBe(JSON.stringify(one.cook.state()));
  }, 60_000);
});

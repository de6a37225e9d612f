import { describe, expect, it } from 'vitest';
import type { TickState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { decide, outage } from './power-cut-restart.ts';

describe('a power cut', () => {
  it('that comes again before the water is measured is one with the first: no hour of it is forgotten', () => {
    const hours = 4;
    for (const awayMs of [null, hours * 3_600_000]) {
      const { cook, input, steps, first, later } = outage(awayMs, 52);
      const wholly = steps(cook.state(), [first, ...later(2, 125)]).state;
      const again = input(41, { restart: { awayMs: awayMs === null ? null : 5000 } });
      const { state, outputs } = steps(cook.state(), [first, ...later(2, 39), again, ...later(42, 125)]);
      expect(outputs.slice(0, 41 + 119).every(({ lease }) => lease === null)).toBe(true);
      const [one, two] = [wholly.outage!, state.outage!];
      expect(two).toMatchObject({ phase: 'known', before: one.before, sinceMs: one.sinceMs });
      expect(two.length?.clockS).toBe(awayMs === null ? null : hours * 3600 + 39 + 5);
      expect(two.length?.countsS).toBeGreaterThanOrEqual(one.length!.countsS);
      expect(two.bags.length).toBe(3);
      for (const [n, bag] of two.bags.entries()) {
        expect(one.bags[n]!.growth[1]).toBeGreaterThan(0.1);
        expect(bag.growth[1]).toBeGreaterThan(0.99 * one.bags[n]!.growth[1]);
        expect(bag.lethality[1]).toBeLessThan(one.bags[n]!.lethality[1] + 0.05);
      }
      // The clock of the tick has gone on by what counts and by what was watched since, no more and no less.
      const goneS = (at: TickState) => at.clockS - cook.state().clockS;
      expect(goneS(state)).toBeCloseTo(two.length!.countsS + 125, 3);
    }
  });

  it('that is short leaves the question open that an earlier one had put, with what was decided so far', () => {
    const { cook, input, steps, first, later } = outage(6 * 3600_000, 41);
    const decided = input(127, { commands: [decide('neck', 'discard')] });
    const known = steps(cook.state(), [first, ...later(2, 125), decided]).state;
    expect(known.outage?.bags.filter(({ decision }) => decision !== null).length).toBe(1);
    const again = input(128, { restart: { awayMs: 4000 } });
    const { state } = steps(known, [again, ...later(129, 125)]);
    expect(state.outage).toEqual(known.outage);
    const long = input(128, { restart: { awayMs: 3_600_000 } });
    const anew = steps(known, [long, ...later(129, 125)]).state.outage;
    expect(anew?.bags.map(({ decision }) => decision)).toEqual([null, null, null]);
    expect(anew?.bags.every(({ brokenBefore }) => brokenBefore.length > 0)).toBe(true);
  });

  it('of a length that no clock could tell says why more growth may be told than there was, a known one does not', () => {
    const said = (awayMs: number | null, afterC: number) => {
      const { cook, steps, first, later } = outage(awayMs, afterC);
      const { state } = steps(cook.state(), [first, ...later(2, 125)]);
      return statusOf(state).outage!;
    };
    const unknown = said(null, 50);
    for (const { happened } of unknown.bags)
      expect(happened.at(-1)).toMatch(
        /grown by up to .* It may be far less: no clock could tell how long it was/,
      );
    const disagreeing = said(60_000, 50);
    expect(disagreeing.bags[0]!.happened.at(-1)).toMatch(/far less: the clock and the water disagree/);
    const agreed = said((unknown.length?.countsS ?? 0) * 1000, 50);
    expect(agreed.length?.disagree).toBe(false);
    for (const { happened } of agreed.bags) expect(happened.join(' ')).not.toMatch(/far less/);
  });
});

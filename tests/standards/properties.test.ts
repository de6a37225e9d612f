import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addLethality, type LethalityState, startLethality } from '../../shared/hazard/lethality.ts';
import { addLimits, coreStep, startLimits } from '../../shared/hazard/limits.ts';
import { LIMIT_PROFILES } from '../../shared/hazard/profiles.ts';
import { type Standard, standards } from '../../shared/hazard/standards/index.ts';
import { cToF, fToC } from '../../shared/units/temperature.ts';

// What must hold whatever the figures are; the figures and their sources are checked in tables.test.ts and its neighbours.
const standard = fc.constantFrom(...standards);
const celsius = fc.double({ min: -5, max: 100, noNaN: true });
const rows = fc.array(fc.tuple(celsius, fc.double({ min: 0.5, max: 3600, noNaN: true })), {
  minLength: 2,
  maxLength: 30,
});
type Row = readonly [celsius: number, seconds: number];

/** Runs a log: each row's temperature is reached from the row before in its seconds. */
function run(s: Standard, log: readonly Row[], from = startLethality(s), startS = 0): LethalityState {
  let state = from;
  let atS = startS;
  log.slice(1).forEach(([c, seconds], i) => {
    atS += seconds;
    state = addLethality(s, state, log[i]![0], c, seconds, atS);
  });
  return state;
}

describe('lethality', () => {
  it('never falls, and what was met stays met at the same moment, whatever the core does', () => {
    fc.assert(
      fc.property(standard, rows, (s, log) => {
        let state = startLethality(s);
        let atS = 0;
        log.slice(1).forEach(([c, seconds], i) => {
          atS += seconds;
          const next = addLethality(s, state, log[i]![0], c, seconds, atS);
          expect(next.log10).toBeGreaterThanOrEqual(state.log10);
          if (state.metAtS !== null) expect(next.metAtS).toBe(state.metAtS);
          if (state.dwell?.metAtS != null) expect(next.dwell?.metAtS).toBe(state.dwell.metAtS);
          if (state.metAtS === null && next.metAtS !== null) {
            expect(next.metAtS).toBeGreaterThanOrEqual(atS - seconds - 1e-6);
            expect(next.metAtS).toBeLessThanOrEqual(atS);
          }
          state = next;
        });
      }),
    );
  });

  it('gives the same bits when a log is split at a row and the state went through JSON', () => {
    fc.assert(
      fc.property(standard, rows, fc.nat(), (s, log, where) => {
        const cut = 1 + (where % (log.length - 1));
        const seconds = log.slice(1, cut).reduce((sum, r) => sum + r[1], 0);
        const first = JSON.parse(JSON.stringify(run(s, log.slice(0, cut)))) as LethalityState;
        expect(run(s, log.slice(cut - 1), first, seconds)).toEqual(run(s, log));
      }),
    );
  });

  it('changes by less than 0.01 log, and its times by less than 0.01 s, when a log is split between rows', () => {
    fc.assert(
      fc.property(
        standard,
        rows,
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        fc.nat(),
        (s, log, share, where) => {
          const at = 1 + (where % (log.length - 1));
          const [c0] = log[at - 1]!;
          const [c1, seconds] = log[at]!;
          const split: Row[] = [
            ...log.slice(0, at),
            [c0 + (c1 - c0) * share, seconds * share],
            [c1, seconds * (1 - share)],
            ...log.slice(at + 1),
          ];
          const whole = run(s, log);
          const parts = run(s, split);
          expect(Math.abs(parts.log10 - whole.log10)).toBeLessThan(Math.max(1e-9, whole.log10 * 1e-9));
          expect(parts.dwell?.metAtS ?? -1).toBeCloseTo(whole.dwell?.metAtS ?? -1, 2);
        },
      ),
    );
  });

  it('is never less for a hotter core', () => {
    fc.assert(
      fc.property(standard, rows, fc.double({ min: 0, max: 20, noNaN: true }), (s, log, more) => {
        const hotter = log.map(([c, t]) => [c + more, t] as const);
        expect(run(s, hotter).log10).toBeGreaterThanOrEqual(run(s, log).log10 * (1 - 1e-12));
      }),
    );
  });

  it('credits nothing and breaks the hold for anything that is not a number, and stays plain data', () => {
    const strange = fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY);
    fc.assert(
      fc.property(standard, rows, strange, (s, log, odd) => {
        const before = run(s, log);
        for (const state of [
          addLethality(s, before, odd, 60, 1, 1e6),
          addLethality(s, before, 60, odd, 1, 1e6),
          addLethality(s, before, 60, 60, odd, 1e6),
        ]) {
          expect(state.log10).toBe(before.log10);
          expect(state.dwell?.sinceS ?? []).toEqual([]);
          expect(JSON.parse(JSON.stringify(state))).toEqual(state);
        }
      }),
    );
  });
});

describe('limits', () => {
  it('never count backwards and never forget what was broken, under every profile', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...LIMIT_PROFILES),
        rows,
        fc.boolean(),
        fc.constantFrom('cooking' as const, 'holding' as const, 'cooling' as const),
        (profile, log, roast, phase) => {
          let state = startLimits();
          let atS = 0;
          log.slice(1).forEach(([c, seconds], i) => {
            atS += seconds;
            const next = addLimits(profile, state, coreStep(log[i]![0], c, seconds, atS), phase, roast);
            expect(next.comeUpS).toBeGreaterThanOrEqual(state.comeUpS);
            expect(next.dangerS).toBeGreaterThanOrEqual(state.dangerS);
            expect(next.warmS).toBeGreaterThanOrEqual(state.warmS);
            expect(next.comeUpS).toBeLessThanOrEqual(atS * (1 + 1e-12));
            expect(next.breaches.slice(0, state.breaches.length)).toEqual(state.breaches);
            state = next;
          });
          expect(JSON.parse(JSON.stringify(state))).toEqual(state);
        },
      ),
    );
  });
});

describe('units', () => {
  it('round-trip between C and F to a billionth of a degree, and every printed row lands on itself', () => {
    fc.assert(
      fc.property(fc.double({ min: -50, max: 300, noNaN: true }), (c) => {
        expect(Math.abs(fToC(cToF(c)) - c)).toBeLessThan(1e-9);
      }),
    );
    for (const s of standards) {
      if (s.kind !== 'table') continue;
      for (const row of s.rows) {
        const there = fToC(cToF(row.celsius));
        expect(
          addLethality(s, startLethality(s), there, there, row.seconds + 1, row.seconds + 1).dwell?.metAtS,
        ).not.toBeNull();
      }
    }
  });
});

import { describe, expect, it } from 'vitest';
import { type ForkAnswer, type PieceTests, priorBelief } from '../../shared/tender/belief.ts';
import { tenderClass } from '../../shared/tender/classes.ts';
import { forecastReady } from '../../shared/tender/forecast.ts';
import { addTender, startTender, tenderRate } from '../../shared/tender/kinetics.ts';

const lamb = tenderClass('lamb_shoulder_shank');
const prior = priorBelief(lamb);
const untested: PieceTests = { endpoint: 'fork-tender', tests: [] };
const H = 3600;

/** A small generator of even numbers in [0, 1) from a seed, so that a failure can be run again. */
function evenly(seed: number): () => number {
  let s = seed;
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0;
    return (s + 0.5) / 4294967296;
  };
}

const normal = (next: () => number) => Math.sqrt(-2 * Math.log(next())) * Math.cos(2 * Math.PI * next());

describe('forecast', () => {
  it('puts the middle where the class median says at a steady 75 C, and gives the span as a ratio to it', () => {
    const f = forecastReady(lamb, prior, untested, startTender(), [{ seconds: 0, celsius: 75 }], 0);
    expect(f.p50S! / H).toBeCloseTo(14 / tenderRate(75), 0);
    expect(f.spanRatio).toBeCloseTo((f.p90S! - f.p10S!) / f.p50S!, 12);
    console.log(
      `lamb shoulder at 75 C: ${(f.p10S! / H).toFixed(1)} - ${(f.p50S! / H).toFixed(1)} - ${(f.p90S! / H).toFixed(1)} h, span ${f.spanRatio!.toFixed(2)} of the middle`,
    );
    // A prior that claims to be sharper than its own class spread would be dishonest.
    expect(f.spanRatio).toBeGreaterThan(1);
  });

  it('follows the path: come-up delays, a hotter bath hastens, a bath under 55 C never gets there', () => {
    const at = (path: { seconds: number; celsius: number }[]) =>
      forecastReady(lamb, prior, untested, startTender(), path, 0).p50S;
    const steady = at([{ seconds: 0, celsius: 75 }])!;
    expect(
      at([
        { seconds: 0, celsius: 5 },
        { seconds: 4 * H, celsius: 75 },
      ])!,
    ).toBeGreaterThan(steady + 2 * H);
    expect(at([{ seconds: 0, celsius: 80 }])!).toBeLessThan(steady);
    expect(at([{ seconds: 0, celsius: 54 }])).toBeNull();
  });

  it('is the same from the middle of a cook as from its start, when all goes as foreseen', () => {
    const whole = forecastReady(lamb, prior, untested, startTender(), [{ seconds: 0, celsius: 72 }], 0);
    const later = addTender(startTender(), 72, 72, 3 * H);
    const rest = forecastReady(lamb, prior, untested, later, [{ seconds: 0, celsius: 72 }], 3 * H);
    expect(Math.abs(rest.p50S! - whole.p50S!)).toBeLessThan(60);
    expect(Math.abs(rest.p90S! - whole.p90S!)).toBeLessThan(300);
  });

  it('narrows with fork tests and gives what has passed as already so', () => {
    const state = addTender(startTender(), 75, 75, 8 * H);
    const path = [{ seconds: 0, celsius: 75 }];
    const piece: PieceTests = { endpoint: 'fork-tender', tests: [{ hours: state.hours, answer: 'nearly' }] };
    const before = forecastReady(lamb, prior, untested, state, path, 8 * H);
    const after = forecastReady(lamb, prior, piece, state, path, 8 * H);
    expect(after.spanRatio!).toBeLessThan(before.spanRatio!);
    expect(before.p10S).toBe(8 * H);
    expect(after.readyNow).toBeLessThan(before.readyNow);
  });

  it('refuses a path that goes back in time or holds no number', () => {
    expect(() => forecastReady(lamb, prior, untested, startTender(), [], 0)).toThrow(RangeError);
    const back = [
      { seconds: 60, celsius: 70 },
      { seconds: 0, celsius: 75 },
    ];
    expect(() => forecastReady(lamb, prior, untested, startTender(), back, 0)).toThrow(/never go back/);
    const odd = [{ seconds: 0, celsius: Number.NaN }];
    expect(() => forecastReady(lamb, prior, untested, startTender(), odd, 0)).toThrow(RangeError);
  });
});

describe('honesty of the span', () => {
  /** A kitchen's cook drawn from the prior, tested twice by a cook who is wrong as often as is assumed. */
  function draw(next: () => number, withTests: boolean): 'below' | 'inside' | 'above' {
    const ea = 95 + 20 * normal(next);
    const truthHours = Math.exp(
      Math.log(lamb.medianHours) + lamb.sigmaClass * normal(next) + lamb.sigmaPiece * normal(next),
    );
    const bathC = 68 + 10 * next();
    const truthS = (truthHours / tenderRate(bathC, ea)) * H;
    const tests: { hours: readonly number[]; answer: ForkAnswer }[] = [];
    let atS = 0;
    let state = startTender();
    for (const share of withTests ? [0.6, 0.85] : []) {
      const testS = ((14 * share) / tenderRate(bathC)) * H;
      state = addTender(state, bathC, bathC, testS - atS);
      atS = testS;
      const right = next() > 0.02;
      tests.push({ hours: state.hours, answer: truthS > testS === right ? 'not-yet' : 'ready' });
    }
    const f = forecastReady(
      lamb,
      prior,
      { endpoint: 'fork-tender', tests },
      state,
      [{ seconds: 0, celsius: bathC }],
      atS,
      300 * H,
    );
    if (truthS > (f.p90S ?? Infinity)) return 'above';
    // What was ready before now counts as inside when the forecast says it has happened.
    return truthS < f.p10S! && f.p10S! > atS ? 'below' : 'inside';
  }

  for (const withTests of [false, true]) {
    it(`holds between 74 and 92 % of draws from the prior ${withTests ? 'after two fork tests' : 'before any test'}`, () => {
      const next = evenly(withTests ? 7 : 3);
      const draws = Array.from({ length: 400 }, () => draw(next, withTests));
      const share = (kind: string) => draws.filter((d) => d === kind).length / draws.length;
      console.log(
        `inside ${share('inside').toFixed(3)}, below ${share('below').toFixed(3)}, above ${share('above').toFixed(3)}`,
      );
      expect(share('inside')).toBeGreaterThan(0.74);
      expect(share('inside')).toBeLessThan(0.92);
      expect(share('above')).toBeLessThan(0.15);
    });
  }
});

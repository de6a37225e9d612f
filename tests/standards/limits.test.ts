import { describe, expect, it } from 'vitest';
import { secondsInBand } from '../../shared/hazard/band.ts';
import {
  addLimits,
  coolingResults,
  coreStep,
  type LimitState,
  type Phase,
  startLimits,
} from '../../shared/hazard/limits.ts';
import { LIMIT_PROFILES, type LimitProfile, limitProfile } from '../../shared/hazard/profiles.ts';
import { fToC } from '../../shared/units/temperature.ts';

type Point = readonly [hours: number, celsius: number];
const H = 3600;

/** Runs a core history of straight lines through the limits. */
function run(
  profile: LimitProfile,
  points: readonly Point[],
  phase: Phase = 'cooking',
  roast = true,
  from = startLimits(),
): LimitState {
  let state = from;
  points.slice(1).forEach(([h, c], i) => {
    const [h0, c0] = points[i]!;
    state = addLimits(profile, state, coreStep(c0, c, (h - h0) * H, h * H), phase, roast);
  });
  return state;
}

const FSIS = limitProfile('usda-fsis');
const CODE = limitProfile('us-food-code');
const CAUTIOUS = limitProfile('conservative');

describe('come-up: 50 to 130 F within 6 h in all (FSIS-GD-2021-0014)', () => {
  it('is kept by a core that needs exactly 6 h and broken by one that needs a second more', () => {
    const rise = (seconds: number) =>
      run(FSIS, [
        [0, fToC(50)],
        [seconds / H, fToC(130)],
      ]);
    expect(rise(6 * H).breaches).toEqual([]);
    expect(rise(6 * H).comeUpS).toBeCloseTo(6 * H, 6);
    expect(rise(6 * H).comeUpDoneAtS).toBeCloseTo(6 * H, 6);
    expect(rise(6 * H + 1).breaches.map((b) => b.limit)).toEqual(['come-up']);
  });

  it('counts only the time between 10 and 54.4 C, every visit together', () => {
    const state = run(FSIS, [
      [0, 5],
      [1, 5],
      [3, 60],
      [10, 60],
      [11, 50],
      [12, 60],
    ]);
    const rising = (2 * (fToC(130) - 10)) / 55;
    const dip = (2 * (fToC(130) - 50)) / 10;
    expect(state.comeUpS / H).toBeCloseTo(rising + dip, 6);
  });

  it('stays broken whatever heat comes later, and says so once', () => {
    const slow = run(FSIS, [
      [0, 20],
      [7, 40],
    ]);
    const hot = run(
      FSIS,
      [
        [7, 40],
        [8, 90],
        [20, 90],
      ],
      'cooking',
      true,
      slow,
    );
    expect(hot.breaches).toEqual(slow.breaches);
    expect(hot.breaches.length).toBe(1);
    expect(hot.breaches[0]!.atS).toBe(7 * H);
  });

  it('does not count chilling, which has rules of its own', () => {
    expect(
      run(
        FSIS,
        [
          [0, 60],
          [12, 5],
        ],
        'cooling',
      ).comeUpS,
    ).toBe(0);
  });

  it('counts a core that nobody knows as time in the band', () => {
    const state = addLimits(
      FSIS,
      startLimits(),
      coreStep(Number.NaN, Number.NaN, 6 * H + 1, 6 * H + 1),
      'cooking',
      true,
    );
    expect(state.breaches[0]?.limit).toBe('come-up');
    expect(JSON.parse(JSON.stringify(state))).toEqual(state);
  });
});

describe('the warm band of the conservative profile (Victoria, Australia: 55 to 60 C for 6 h in all)', () => {
  it('breaks after 6 h at 57 C, which the other profiles accept', () => {
    const night: Point[] = [
      [0, 5],
      [2, 57],
      [12, 57],
    ];
    expect(run(CAUTIOUS, night).breaches.map((b) => b.limit)).toEqual(['warm-band']);
    expect(run(CODE, night).breaches).toEqual([]);
    expect(run(FSIS, night).breaches).toEqual([]);
  });

  it('does not touch a night at 62 C', () => {
    expect(
      run(CAUTIOUS, [
        [0, 5],
        [3, 62],
        [14, 62],
      ]).breaches,
    ).toEqual([]);
  });

  it('is the default profile, named first', () => {
    expect(LIMIT_PROFILES[0]!.id).toBe('conservative');
  });
});

describe('hot holding (Food Code 3-501.16)', () => {
  const dip: Point[] = [
    [0, 62],
    [2, 62],
    [3, 56],
    [4, 62],
  ];

  it('breaks when cooked food falls under 57.2 C, and gives the time and the lowest core', () => {
    const state = run(CODE, dip, 'holding', false);
    expect(state.breaches.map((b) => b.limit)).toEqual(['hot-hold']);
    expect(state.lowestHoldC).toBe(56);
    expect(state.belowHoldS).toBeCloseTo((2 * H * (fToC(135) - 56)) / 6, 6);
  });

  it('lets whole roasts go down to 54.4 C, except in the conservative profile', () => {
    expect(run(CODE, dip, 'holding', true).breaches).toEqual([]);
    expect(run(CAUTIOUS, dip, 'holding', true).breaches.length).toBe(1);
  });

  it('does not judge food still cooking, nor food that never reached the holding temperature', () => {
    expect(run(CODE, dip, 'cooking', false).breaches).toEqual([]);
    const state = run(
      CODE,
      [
        [0, 55],
        [5, 55.5],
      ],
      'holding',
      false,
    );
    expect(state).toMatchObject({ held: false, breaches: [] });
  });
});

describe('cooling', () => {
  const results = (profile: LimitProfile, points: readonly Point[]) => {
    const state = run(profile, points, 'cooling');
    return { state, results: coolingResults(profile, state.cooling!, points.at(-1)![0] * H) };
  };

  it('keeps Food Code 3-501.14 when 135 to 70 F takes 2 h and 41 F is reached at 6 h, to the second', () => {
    const kept = results(CODE, [
      [0, fToC(135)],
      [2, fToC(70)],
      [6, fToC(41)],
    ]);
    expect(kept.results[0]).toMatchObject({ status: 'met' });
    expect(kept.results[0]!.legs.map((l) => l.elapsedS)).toEqual([2 * H, 6 * H]);
    expect(kept.state.breaches).toEqual([]);
    const late = results(CODE, [
      [0, fToC(135)],
      [2 + 1 / H, fToC(70)],
      [6, fToC(41)],
    ]);
    expect(late.results[0]).toMatchObject({ status: 'broken' });
    expect(late.state.breaches.map((b) => b.limit)).toEqual(['cooling']);
  });

  it('breaks as soon as the time is over, while the food is still warm', () => {
    const state = run(
      CODE,
      [
        [0, 70],
        [0.5, 57],
        [2.6, 30],
      ],
      'cooling',
    );
    expect(state.breaches[0]?.limit).toBe('cooling');
  });

  it('keeps FSIS Appendix B option 1 at 1.5 h and 5 h, and breaks it at a minute more', () => {
    const legs = (minutes: number): Point[] => [
      [0, 54.5],
      [(90 + minutes) / 60, fToC(80)],
      [6.4, fToC(40)],
    ];
    expect(results(FSIS, legs(-1)).results[0]!.status).toBe('met');
    expect(results(FSIS, legs(2)).results[0]!.status).toBe('broken');
  });

  it('is satisfied by either FSIS option, but asks for both rules under the conservative profile', () => {
    // Slow from 130 to 120 F, then fast: option 1 misses its 1.5 h, option 2 keeps its hour.
    const slowStart: Point[] = [
      [0, fToC(130)],
      [0.8, fToC(120)],
      [1.75, fToC(80)],
      [5, fToC(55)],
      [6, fToC(40)],
    ];
    const fsis = results(FSIS, slowStart);
    expect(fsis.results.map((r) => r.status)).toEqual(['broken', 'met']);
    expect(fsis.state.breaches).toEqual([]);
    expect(results(CAUTIOUS, slowStart).state.breaches.map((b) => b.limit)).toEqual(['cooling']);
  });

  it('starts a leg when the core falls through its top, wherever between two samples that is', () => {
    const { results: fine } = results(CODE, [
      [0, 75],
      [1, 50],
      [2, 20],
      [5, 4],
    ]);
    const start = (75 - fToC(135)) / 25;
    const middle = 1 + (50 - fToC(70)) / 30;
    expect(fine[0]!.legs[0]!.elapsedS! / H).toBeCloseTo(middle - start, 6);
  });
});

describe('time in a band', () => {
  const line = (from: number, to: number) => ({ from, to });
  const known = (from: number, to: number, seconds: number) =>
    secondsInBand(line(from, to), line(from, to), seconds, 10, 60);

  it('is exact on a straight line and whole for an unknown temperature', () => {
    expect(known(0, 100, 100)).toBeCloseTo(50, 9);
    expect(known(100, 0, 100)).toBeCloseTo(50, 9);
    expect(known(20, 20, 60)).toBe(60);
    expect(known(5, 9, 60)).toBe(0);
    expect(known(Number.NaN, 9, 60)).toBe(60);
  });

  it('takes in its foot and leaves out its top: 10.0 C counts, 60.0 C does not', () => {
    expect(known(10, 10, 60)).toBe(60);
    expect(known(60, 60, 60)).toBe(0);
  });

  it('between two lines lasts from the upper entering to the lower leaving', () => {
    expect(secondsInBand(line(0, 100), line(5, 105), 100, 10, 60)).toBeCloseTo(55, 9);
    expect(secondsInBand(line(59, 59), line(61, 61), 60, 10, 60)).toBe(60);
    expect(secondsInBand(line(62, 55), line(70, 68), 70, 10, 60)).toBeCloseTo(50, 9);
  });
});

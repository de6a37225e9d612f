import { beforeAll, describe, expect, it } from 'vitest';
import { filmFor } from '../../shared/food/film.ts';
import { envelopeMembers, filmAround, memberFilm } from '../../shared/hazard/envelope.ts';
import {
  type Cook,
  cutNamed,
  drawOutcome,
  envelopeOf,
  evenly,
  type Food,
  type Outcome,
} from './envelope-draws.ts';

// The spreads are those of shared/hazard/envelope.ts, each drawn by itself; the cooks are invented, with dips and outages.
const COOKS: readonly Cook[] = [
  {
    name: 'steady at 62 C',
    water: [
      [0, 62],
      [10, 62],
    ],
    stillH: null,
    chillH: 99,
  },
  {
    name: 'steady at 75 C',
    water: [
      [0, 75],
      [8, 75],
    ],
    stillH: null,
    chillH: 99,
  },
  {
    name: 'steady at 57 C',
    water: [
      [0, 57],
      [12, 57],
    ],
    stillH: null,
    chillH: 99,
  },
  {
    name: 'lid left off',
    water: [
      [0, 62],
      [3, 62],
      [3.7, 48],
      [4.2, 62],
      [9, 62],
    ],
    stillH: null,
    chillH: 99,
  },
  {
    name: 'long outage',
    water: [
      [0, 62],
      [2, 62],
      [3, 50],
      [5, 38],
      [6, 33],
      [6.8, 62],
      [11, 62],
    ],
    stillH: [2, 6],
    chillH: 99,
  },
  {
    name: 'outage of a done cook, then ice',
    water: [
      [0, 75],
      [5, 75],
      [7, 61],
      [9, 52],
      [9.5, 75],
      [11, 75],
      [11.1, 2],
      [23, 2],
    ],
    stillH: [5, 9],
    chillH: 11,
  },
  {
    name: 'early outage, then ice',
    water: [
      [0, 58],
      [1, 58],
      [3, 44],
      [4, 58],
      [11, 58],
      [11.1, 1],
      [23, 1],
    ],
    stillH: [1, 3],
    chillH: 11,
  },
];

const FOODS: readonly Food[] = [
  { cutId: 'lamb-shoulder', thicknessMm: 85, beta: 0.2, standardIds: ['fsis-meat-6.5', 'perfringens-beef'] },
  { cutId: 'pork-neck', thicknessMm: 70, beta: 0.28, standardIds: ['fsis-meat-6.5', 'perfringens-beef'] },
  {
    cutId: 'chicken-leg',
    thicknessMm: 35,
    beta: 1,
    standardIds: ['fsis-chicken-7-fat12', 'salmonella-chicken-thigh'],
  },
];

const DRAWS = 60;

type Check = (draw: Outcome, env: Outcome) => boolean;
type History =
  | 'log10'
  | 'dzLog10'
  | 'growth'
  | 'lowC'
  | 'highC'
  | 'comeUpS'
  | 'dangerS'
  | 'warmS'
  | 'coolingS';
const atMost =
  (key: History, slack: number): Check =>
  (d, e) =>
    d[key].every((v, i) => v <= e[key][i]! + slack);
const atLeast =
  (key: History, slack: number): Check =>
  (d, e) =>
    d[key].every((v, i) => v >= e[key][i]! - slack);

/** A draw is covered when it is at every half hour of its cook. Slack: rounding of a step, never a share. */
const HAZARDS: Record<string, Check> = {
  'lethality by the table': atLeast('log10', 1e-6),
  'lethality by D and z': atLeast('dzLog10', 1e-6),
  'moment the table was met': (d, e) => d.metS <= e.metS + 1 && d.dwellMetS <= e.dwellMetS + 1,
  'growth of C. perfringens': atMost('growth', 0.01),
  'come-up clock': atMost('comeUpS', 1),
  'end of the come-up': (d, e) => d.comeUpDoneS <= e.comeUpDoneS + 1,
  'danger-zone time': atMost('dangerS', 1),
  'time in the warm band': atMost('warmS', 1),
  'cooling legs': atMost('coolingS', 1),
  'coldest core': atLeast('lowC', 0.01),
  'hottest core': atMost('highC', 0.01),
};

describe('the envelope by Monte Carlo', () => {
  const covered: Record<string, number> = {};
  const worstCook: Record<string, number> = {};
  let draws = 0;

  beforeAll(() => {
    const next = evenly(20_251);
    for (const food of FOODS) {
      for (const cook of COOKS) {
        const env = envelopeOf(cook, food);
        const outcomes = Array.from({ length: DRAWS }, () => drawOutcome(cook, food, next));
        draws += DRAWS;
        for (const [name, check] of Object.entries(HAZARDS)) {
          const inside = outcomes.filter((d) => check(d, env)).length;
          covered[name] = (covered[name] ?? 0) + inside;
          worstCook[name] = Math.min(worstCook[name] ?? 1, inside / DRAWS);
        }
      }
    }
    const lines = Object.keys(HAZARDS).map((n) => `${((100 * covered[n]!) / draws).toFixed(2)} % ${n}`);
    console.log(
      `${draws} draws on ${COOKS.length} cooks of ${FOODS.length} foods, covered:\n${lines.join('\n')}`,
    );
  });

  for (const name of Object.keys(HAZARDS)) {
    it(`covers at least 99 % of draws at every half hour, dips and outages included: ${name}`, () => {
      expect(covered[name]! / draws).toBeGreaterThanOrEqual(0.99);
      // No single cook may hide behind the others.
      expect(worstCook[name]).toBeGreaterThan(0.94);
    });
  }
});

describe('the envelope is not absurd', () => {
  for (const food of FOODS) {
    it(`has a slowest come-up of at most 1.3 times the 99th percentile: ${food.cutId}`, () => {
      for (const cook of COOKS.slice(0, 3)) {
        const next = evenly(99);
        const env = envelopeOf(cook, food);
        const outcomes = Array.from({ length: 400 }, () => drawOutcome(cook, food, next));
        const p99 = (of: (o: Outcome) => number) =>
          outcomes.map(of).sort((a, b) => a - b)[Math.floor(0.99 * outcomes.length)]!;
        const done = env.comeUpDoneS / p99((o) => o.comeUpDoneS);
        const clock = env.comeUpS.at(-1)! / p99((o) => o.comeUpS.at(-1)!);
        console.log(
          `${food.cutId}, ${cook.name}: end ${done.toFixed(2)}, clock ${clock.toFixed(2)} of the 99th percentile`,
        );
        expect(done).toBeLessThanOrEqual(1.3);
        expect(clock).toBeLessThanOrEqual(1.3);
      }
    });
  }
});

describe('the cases', () => {
  const cut = cutNamed('lamb-shoulder');
  const [slow, middle, fast] = envelopeMembers({ cut, thicknessMm: 80, beta: 0.2, startC: 4 });

  it('lie round the values as given, which are the middle case unchanged', () => {
    expect(middle.body.thicknessM).toBeCloseTo(0.08, 12);
    expect(middle).toMatchObject({ startC: 4, filmLean: 0, dFactor: 1 });
    expect(slow.body.thicknessM).toBeGreaterThan(middle.body.thicknessM);
    expect(slow.body.diffusivity).toBeLessThan(middle.body.diffusivity);
    expect(slow.startC).toBeLessThan(4);
    expect(fast.body.thicknessM).toBeLessThan(middle.body.thicknessM);
    expect(fast.dFactor * slow.dFactor).toBeCloseTo(1, 12);
  });

  it('lean to their side of the film, and get no heat counted on the slow side where a bag is not under water', () => {
    const film = filmFor({ circulation: 'pumped', waterC: 60 });
    expect(memberFilm(middle, film)).toBe(film.middle);
    expect(memberFilm(slow, film)).toBeLessThan(film.middle);
    expect(memberFilm(slow, film)).toBeGreaterThan(film.low);
    expect(memberFilm(fast, film)).toBeGreaterThan(film.middle);
    const afloat = filmFor({ circulation: 'pumped', waterC: 60, bag: 'afloat' });
    expect(memberFilm(slow, afloat)).toBe(0);
    expect(memberFilm(fast, afloat)).toBe(afloat.high);
  });

  it('spread more with bone in the piece', () => {
    const [boned] = envelopeMembers({ cut: { ...cut, boneIn: true }, thicknessMm: 80, beta: 0.2, startC: 4 });
    expect(boned.body.diffusivity).toBeLessThan(slow.body.diffusivity);
  });

  it('take thermal properties that somebody gave, and those of usual meat where there is no cut', () => {
    const asked = { cut: null, thicknessMm: 40, beta: 0, startC: 5 };
    const [, plain] = envelopeMembers(asked);
    expect(plain.body).toMatchObject({ diffusivity: 1.3e-7, conductivity: 0.48 });
    const [late, given] = envelopeMembers({ ...asked, cut, diffusivity: 1.5e-7, conductivity: 0.5 });
    expect(given.body).toMatchObject({ diffusivity: 1.5e-7, conductivity: 0.5 });
    expect(late.body.diffusivity).toBeLessThan(1.5e-7);
    expect(memberFilm(given, filmAround(120))).toBe(120);
    expect(memberFilm(late, filmAround(120))).toBeLessThan(120);
  });
});

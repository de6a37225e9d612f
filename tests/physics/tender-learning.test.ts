import { describe, expect, it } from 'vitest';
import { cuts } from '../../shared/food/cuts.ts';
import {
  type Belief,
  beliefMoments,
  type ForkAnswer,
  learn,
  type PieceTests,
  priorBelief,
  readyProbability,
} from '../../shared/tender/belief.ts';
import { type Endpoint, TENDER_CLASSES, tenderClass } from '../../shared/tender/classes.ts';
import { EA_MIDDLE, EA_VALUES, tenderRate } from '../../shared/tender/kinetics.ts';
import { normalCdf } from '../../shared/tender/normal.ts';
import { fToC } from '../../shared/units/temperature.ts';

const pork = tenderClass('pork_shoulder_neck');
const hoursAt = (hours: number, celsius: number) => EA_VALUES.map((ea) => hours * tenderRate(celsius, ea));
const untested: PieceTests = { endpoint: 'fork-tender', tests: [] };
const tested = (celsius: number, ...tests: [number, ForkAnswer][]): PieceTests => ({
  endpoint: 'fork-tender',
  tests: tests.map(([h, answer]) => ({ hours: hoursAt(h, celsius), answer })),
});

/** The worked posteriors hold the activation energy at 95 kJ/mol: the same belief with its other values struck out. */
function sharp(belief: Belief): Belief {
  const kept = belief.weights.map((w, i) => (i % EA_VALUES.length === EA_MIDDLE ? w : 0));
  const sum = kept.reduce((a, b) => a + b, 0);
  return { ...belief, weights: kept.map((w) => w / sum) };
}

function quantileHours(belief: Belief, p: number, celsius: number, piece = untested, misreport = 0): number {
  let low = 0.1;
  let high = 300;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (readyProbability(pork, belief, piece, hoursAt(middle, celsius), misreport) < p) low = middle;
    else high = middle;
  }
  return high;
}

describe('normal distribution', () => {
  it('agrees with tabulated values to 1e-9 (Abramowitz & Stegun, table 26.1)', () => {
    const table: [number, number][] = [
      [0, 0.5],
      [0.5, 0.691462461274013],
      [1, 0.841344746068543],
      [1.96, 0.97500210485178],
      [3, 0.99865010196837],
      [-2, 0.022750131948179],
      [-4, 0.00003167124183312],
    ];
    for (const [x, p] of table) expect(Math.abs(normalCdf(x) - p)).toBeLessThan(1e-9);
    for (let x = -9; x < 9; x += 0.013) expect(normalCdf(x + 0.013)).toBeGreaterThanOrEqual(normalCdf(x));
  });
});

describe('worked posteriors, computed apart from this program (prior ln 18 +- 0.45, piece 0.25, 95 kJ/mol, bath 75 C)', () => {
  const prior = sharp(priorBelief(pork));
  const cases: [string, PieceTests[], { mean: number; sd: number }][] = [
    [
      'not ready at 8 h, ready at 10 h',
      [tested(75, [8, 'not-yet'], [10, 'ready'])],
      { mean: 2.72402, sd: 0.22397 },
    ],
    ['not ready at 8 h', [tested(75, [8, 'not-yet'])], { mean: 3.06225, sd: 0.35953 }],
    ['already ready at 8 h', [tested(75, [8, 'ready'])], { mean: 2.39874, sd: 0.29289 }],
    [
      'three pieces (8,10], (9,11], (8,9.5]',
      [
        tested(75, [8, 'not-yet'], [10, 'ready']),
        tested(75, [9, 'not-yet'], [11, 'ready']),
        tested(75, [8, 'not-yet'], [9.5, 'ready']),
      ],
      { mean: 2.71508, sd: 0.14076 },
    ],
  ];
  for (const [name, pieces, expected] of cases) {
    it(`has the mean and spread of the class middle for: ${name}`, () => {
      const belief = pieces.reduce((b, piece) => learn(pork, b, piece, 0), prior);
      const { mean, sd } = beliefMoments(pork, belief);
      expect(mean).toBeCloseTo(expected.mean, 3);
      expect(sd).toBeCloseTo(expected.sd, 3);
    });
  }

  it('has the hours at 75 C: 11.158, 17.208, 21.582 before any cook; 6.145, 9.448, 12.532, 14.526 after one', () => {
    const after = learn(pork, prior, tested(75, [8, 'not-yet'], [10, 'ready']), 0);
    const checks: [Belief, number, number][] = [
      [prior, 0.5, 11.158],
      [prior, 0.8, 17.208],
      [prior, 0.9, 21.582],
      [after, 0.1, 6.145],
      [after, 0.5, 9.448],
      [after, 0.8, 12.532],
      [after, 0.9, 14.526],
    ];
    const off = checks.map(([b, p, h]) => Math.abs(quantileHours(b, p, 75) - h));
    console.log(`worked quantiles: largest deviation ${Math.max(...off).toFixed(4)} h`);
    expect(Math.max(...off)).toBeLessThan(0.01);
  });

  it('has the live odds after "not yet" at 8 h: 0.107, 0.212, 0.310, 0.401, 0.555, 0.674 at 9 to 16 h', () => {
    const piece = tested(75, [8, 'not-yet']);
    for (const [h, p] of [
      [9, 0.107],
      [10, 0.212],
      [11, 0.31],
      [12, 0.401],
      [14, 0.555],
      [16, 0.674],
    ] as const) {
      expect(readyProbability(pork, prior, piece, hoursAt(h, 75), 0)).toBeCloseTo(p, 2);
    }
  });
});

describe('priors against the outside', () => {
  const legs = [
    ...new Set(
      cuts
        .filter((cut) => cut.family === 'poultry' && cut.tendernessClass !== null)
        .map((cut) => cut.tendernessClass!),
    ),
  ];

  it('knows the dark legs of chicken, old hen, turkey, duck and goose by class', () => {
    expect(legs.toSorted()).toEqual([
      'chicken_leg_thigh',
      'duck_leg',
      'old_hen_rabbit_game',
      'turkey_goose_leg',
    ]);
  });

  it.each([...legs, 'unknown_tough_cut'])(
    'gives dark poultry legs at 165 F (%s), not ready at 8 h and ready at 10 h, fair odds (common practice, no source)',
    (id) => {
      const c = tenderClass(id);
      const at = (h: number) => readyProbability(c, priorBelief(c), untested, hoursAt(h, fToC(165)));
      console.log(
        `${id}: P(ready <= 8 h) ${at(8).toFixed(3)}, P(8 h < ready <= 10 h) ${(at(10) - at(8)).toFixed(3)}`,
      );
      expect(at(10) - at(8)).toBeGreaterThanOrEqual(0.1);
      expect(at(8)).toBeGreaterThanOrEqual(0.1);
      expect(at(8)).toBeLessThanOrEqual(0.6);
    },
  );

  it('gives pork cheek at 80 C between 5 and 12 h (Sanchez del Pulgar et al. 2012) better than even odds', () => {
    const c = tenderClass('pork_cheek');
    const at = (h: number) => readyProbability(c, priorBelief(c), untested, hoursAt(h, 80));
    expect(at(12) - at(5)).toBeGreaterThan(0.5);
  });

  it('gives old beef at 60 C between 24 and 48 h (Bouton & Harris 1981) more than one chance in ten', () => {
    const c = tenderClass('beef_chuck_short_rib_brisket');
    const at = (h: number) => readyProbability(c, priorBelief(c), untested, hoursAt(h, 60));
    expect(at(48) - at(24)).toBeGreaterThan(0.1);
  });

  it('stands by medians of the reference and has a source for each class', () => {
    for (const c of TENDER_CLASSES) {
      const sharpest = readyProbability(
        c,
        priorBelief(c),
        untested,
        EA_VALUES.map(() => c.medianHours),
      );
      expect(sharpest, c.id).toBeCloseTo(0.5, 6);
      expect(c.source.length).toBeGreaterThan(8);
    }
    expect(() => tenderClass('stone')).toThrow(/pork_cheek/);
  });
});

describe('fork tests', () => {
  const prior = priorBelief(pork);

  it('move the odds the way they should: not yet later, ready sooner, nearly in between', () => {
    const at10 = (...tests: [number, ForkAnswer][]) =>
      readyProbability(pork, prior, tested(75, ...tests), hoursAt(10, 75));
    expect(at10([8, 'not-yet'])).toBeLessThan(at10());
    expect(at10([8, 'nearly'])).toBeGreaterThan(at10());
    expect(at10([8, 'ready'])).toBeGreaterThan(at10([8, 'nearly']));
  });

  it('leave a floor of doubt: one wrong answer is outvoted by two right ones', () => {
    const piece = tested(75, [6, 'ready'], [9, 'not-yet'], [10, 'not-yet']);
    expect(readyProbability(pork, prior, piece, hoursAt(9, 75))).toBeLessThan(0.2);
    const contrary = learn(pork, prior, piece);
    expect(beliefMoments(pork, contrary).mean).toBeGreaterThan(beliefMoments(pork, prior).mean);
  });

  it('teach the next cook of the class, and survive JSON', () => {
    const after = learn(pork, prior, tested(75, [8, 'not-yet'], [10, 'ready']));
    const again = JSON.parse(JSON.stringify(after)) as Belief;
    expect(again).toEqual(after);
    expect(after.pieces).toBe(1);
    expect(beliefMoments(pork, after).sd).toBeLessThan(beliefMoments(pork, prior).sd);
    expect(learn(pork, prior, untested)).toBe(prior);
  });

  it('carry between endpoints by their factor: shreds takes twice fork-tender, slices half', () => {
    const p = (endpoint: Endpoint, h: number) =>
      readyProbability(pork, prior, { endpoint, tests: [] }, hoursAt(h, 70));
    expect(p('shreds', 36)).toBeCloseTo(p('fork-tender', 18), 9);
    expect(p('sliceable', 9)).toBeCloseTo(p('fork-tender', 18), 9);
  });

  it('give odds that never fall with time', () => {
    const piece = tested(75, [5, 'not-yet'], [7, 'nearly']);
    let last = 0;
    for (let h = 0; h < 60; h += 0.5) {
      const p = readyProbability(pork, prior, piece, hoursAt(h, 75));
      expect(p).toBeGreaterThanOrEqual(last - 1e-12);
      last = p;
    }
    expect(last).toBeGreaterThan(0.98);
  });
});

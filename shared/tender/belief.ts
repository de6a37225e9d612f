import { ENDPOINT_FACTOR, type Endpoint, type TenderClass } from './classes.ts';
import { EA_VALUES, EA_WEIGHTS } from './kinetics.ts';
import { normalCdf } from './normal.ts';

/** What a cook found with a fork: nothing gives, it begins to give, it is done. */
export type ForkAnswer = 'not-yet' | 'nearly' | 'ready';

/** One fork test: the equivalent hours of the core when it was made, one for each activation energy, and the answer. */
export interface ForkTest {
  readonly hours: readonly number[];
  readonly answer: ForkAnswer;
}

/** The tests of one piece and the endpoint they were judged by. */
export interface PieceTests {
  readonly endpoint: Endpoint;
  readonly tests: readonly ForkTest[];
}

/**
 * What is believed of a class in this kitchen: a weight for each pair of (class middle, activation energy).
 * Plain data; carried from cook to cook.
 */
export interface Belief {
  readonly classId: string;
  /** Pieces learned from. */
  readonly pieces: number;
  /** `MIDDLES` x activation energies, middle varying slowest; sums to one. */
  readonly weights: readonly number[];
}

/** A hand slips or a fork finds a soft spot: this much of every answer may be wrong. */
export const MISREPORT = 0.02;
/** "Nearly": ready within the next 40 % of the softening so far (judgement, from memory). */
export const NEARLY_FACTOR = 1.4;

/** Points of the grid over the class middle, as multiples of the class's own uncertainty. */
const MIDDLES = 65;
const REACH_SIGMA = 4;
const KINDS = EA_VALUES.length;

const middleAt = (c: TenderClass, i: number) =>
  Math.log(c.medianHours) + c.sigmaClass * REACH_SIGMA * ((2 * i) / (MIDDLES - 1) - 1);

/** The class's prior, before this kitchen has cooked any. */
export function priorBelief(c: TenderClass): Belief {
  const weights: number[] = [];
  for (let i = 0; i < MIDDLES; i++) {
    const z = REACH_SIGMA * ((2 * i) / (MIDDLES - 1) - 1);
    for (let k = 0; k < KINDS; k++) weights.push(Math.exp((-z * z) / 2) * EA_WEIGHTS[k]!);
  }
  return { classId: c.id, pieces: 0, weights: normalised(weights) };
}

/** Learns from a piece: each test is interval-censored evidence about when it became ready (Bayes on the grid). */
export function learn(c: TenderClass, belief: Belief, piece: PieceTests, misreport = MISREPORT): Belief {
  if (piece.tests.length === 0) return belief;
  const weights = belief.weights.slice();
  for (let k = 0; k < KINDS; k++) {
    const steps = stepsOf(piece, k, misreport);
    for (let i = 0; i < MIDDLES; i++) {
      const at = i * KINDS + k;
      weights[at] = weights[at]! * mass(steps, middleAt(c, i), c.sigmaPiece, Infinity);
    }
  }
  return { classId: belief.classId, pieces: belief.pieces + 1, weights: normalised(weights) };
}

/**
 * Probability that a piece has reached its endpoint by the time its core has `hours` equivalent hours
 * (one for each activation energy), given its own fork tests so far.
 */
export function readyProbability(
  c: TenderClass,
  belief: Belief,
  piece: PieceTests,
  hours: readonly number[],
  misreport = MISREPORT,
): number {
  const factor = ENDPOINT_FACTOR[piece.endpoint];
  let ready = 0;
  let all = 0;
  for (let k = 0; k < KINDS; k++) {
    const steps = stepsOf(piece, k, misreport);
    const upTo = lnHours(hours[k]!, factor);
    for (let i = 0; i < MIDDLES; i++) {
      const w = belief.weights[i * KINDS + k]!;
      if (w < 1e-12) continue;
      const mu = middleAt(c, i);
      ready += w * mass(steps, mu, c.sigmaPiece, upTo);
      all += w * mass(steps, mu, c.sigmaPiece, Infinity);
    }
  }
  return all > 0 ? Math.min(1, ready / all) : 0;
}

/** Mean and standard deviation of the class middle, ln hours at 70 C to fork-tender. */
export function beliefMoments(c: TenderClass, belief: Belief): { mean: number; sd: number } {
  let mean = 0;
  let square = 0;
  belief.weights.forEach((w, at) => {
    const mu = middleAt(c, Math.floor(at / KINDS));
    mean += w * mu;
    square += w * mu * mu;
  });
  return { mean, sd: Math.sqrt(Math.max(0, square - mean * mean)) };
}

/** A likelihood that is constant between breakpoints of ln(hours to ready): value `factor` up to `upTo`. */
interface Step {
  readonly upTo: number;
  readonly factor: number;
}

const lnHours = (hours: number, factor: number) => Math.log(Math.max(hours / factor, 1e-9));

/** Likelihood of all tests of a piece as a function of when it really became ready, for activation energy `k`. */
function stepsOf(piece: PieceTests, k: number, misreport: number): Step[] {
  const factor = ENDPOINT_FACTOR[piece.endpoint];
  const spans = piece.tests.map((test) => {
    const ln = lnHours(test.hours[k]!, factor);
    if (test.answer === 'not-yet') return { from: ln, to: Infinity };
    if (test.answer === 'ready') return { from: -Infinity, to: ln };
    return { from: ln, to: ln + Math.log(NEARLY_FACTOR) };
  });
  const edges = [...new Set(spans.flatMap((s) => [s.from, s.to]))].filter((e) => e > -Infinity);
  edges.sort((a, b) => a - b);
  if (edges.at(-1) !== Infinity) edges.push(Infinity);
  let below = -Infinity;
  return edges.map((upTo) => {
    const from = below;
    below = upTo;
    const fits = (s: { from: number; to: number }) => from >= s.from && upTo <= s.to;
    return { upTo, factor: spans.reduce((l, s) => l * (fits(s) ? 1 - misreport : misreport), 1) };
  });
}

/** Probability mass of a log-normal with middle `mu` up to `end`, weighted by the step likelihood. */
function mass(steps: readonly Step[], mu: number, sigma: number, end: number): number {
  let sum = 0;
  let below = 0;
  for (const step of steps) {
    const upTo = Math.min(step.upTo, end);
    const reached = upTo === Infinity ? 1 : normalCdf((upTo - mu) / sigma);
    sum += step.factor * (reached - below);
    below = reached;
    if (step.upTo >= end) break;
  }
  return sum;
}

function normalised(weights: readonly number[]): number[] {
  const sum = weights.reduce((a, b) => a + b, 0);
  // Evidence that rules out everything the class could be: better to start over than to carry zeros.
  if (!(sum > 0))
    throw new RangeError('The fork tests contradict every value of the class; check their order.');
  return weights.map((w) => w / sum);
}

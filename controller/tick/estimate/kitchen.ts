import { type Belief, learn, type PieceTests, priorBelief } from '../../../shared/tender/belief.ts';
import { type TenderClass, tenderClass } from '../../../shared/tender/classes.ts';
import type { TenderState } from '../../../shared/tender/kinetics.ts';
import type { BagSpec } from '../../../shared/wire/command.ts';
import { cutOf } from './bag.ts';

/** One fork test as it was made: what it said, by whom, and how far the softening was. Plain data. */
export interface ForkTestRecord {
  readonly atMs: number;
  readonly by: string;
  readonly answer: 'not-yet' | 'nearly' | 'ready';
  readonly hours: readonly number[];
}

/** The tenderness class of a bag's cut; null where time is not the question. */
export function classOf(spec: BagSpec): TenderClass | null {
  const { tendernessClass } = cutOf(spec);
  return tendernessClass === null ? null : tenderClass(tendernessClass);
}

/** What this kitchen believes of a class: learned from its cooks, else the published prior. */
export function beliefOf(kitchen: readonly Belief[], c: TenderClass): Belief {
  return kitchen.find((belief) => belief.classId === c.id) ?? priorBelief(c);
}

/** A bag's fork tests in the form the model takes. */
export function pieceOf(spec: BagSpec, tests: readonly ForkTestRecord[]): PieceTests {
  return { endpoint: spec.endpoint, tests: tests.map(({ hours, answer }) => ({ hours, answer })) };
}

/** What the kitchen believes after a piece left the bath, tested or not. */
export function learnFrom(
  kitchen: readonly Belief[],
  spec: BagSpec,
  tests: readonly ForkTestRecord[],
): readonly Belief[] {
  const c = classOf(spec);
  if (c === null || tests.length === 0) return kitchen;
  const after = learn(c, beliefOf(kitchen, c), pieceOf(spec, tests));
  return [...kitchen.filter((belief) => belief.classId !== c.id), after];
}

/** A new record of a fork test, taken now. */
export function forkTest(
  tender: TenderState,
  answer: ForkTestRecord['answer'],
  by: string,
  atMs: number,
): ForkTestRecord {
  return { atMs, by, answer, hours: tender.hours };
}

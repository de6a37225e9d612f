import type { BagSpec } from '../../shared/wire/command.ts';
import { MAX_BAGS } from '../../shared/wire/command.ts';
import { addBag } from './bags.ts';
import { ANSWER_S, explainLoad, searchLoad } from './load.ts';
import { type Refusal, refuse, tell, type Work } from './work.ts';

/**
 * Food that somebody says is in, or that nobody denied, before it is described: thick, fat and slow, from the fridge.
 * Better to ask for more time than the food needs than for less.
 */
const ASSUMED = {
  label: 'Food not yet described',
  cutId: 'pork-shoulder',
  beta: 0,
  thicknessMm: 80,
  startC: 5,
  endpoint: 'fork-tender',
} as const;

/** Puts the assumed bag in, from the dip on. */
export function assumeFood(work: Work, by: string): Refusal | null {
  const { load, bags, clockS } = work.next;
  if (bags.filter((bag) => bag.outAtMs === null).length >= MAX_BAGS) return refuse('too-many-bags');
  const spec: BagSpec = { ...ASSUMED, bagId: `assumed-${work.input.sequence}`, massKg: null };
  const inAtS = load.dipAtS ?? clockS;
  const refusal = addBag(work, spec, inAtS, true);
  if (refusal) return refusal;
  tell(work, 'food-assumed', `${by}: food counts as in since the dip. Describe the bag.`, {
    bag: spec,
    agoS: clockS - inAtS,
    by,
  });
  return null;
}

/** Looks for load that nobody entered; asks, and after 10 minutes without an answer takes it as food in. */
export function watchLoad(work: Work): void {
  const { next } = work;
  if (!next.cook || next.cook.endedAtMs !== null) return;
  const load = searchLoad(next.load, next.history, next.clockS, next.settings);
  if (load.dipAtS !== null && next.load.dipAtS === null) {
    tell(
      work,
      'load-asked',
      `Something took about ${Math.round(load.excessW)} W more than the usual loss. Did food go in?`,
      {
        excessW: load.excessW,
      },
    );
  }
  next.load = load;
  if (load.dipAtS === null || next.clockS - load.askedAtS < ANSWER_S) return;
  const refusal = assumeFood(work, 'Nobody answered');
  if (refusal) tell(work, 'load-ignored', 'Food may be in, but eight bags are entered already.');
  next.load = explainLoad(load, next.clockS);
}

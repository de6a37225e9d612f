import type { Command, Lies } from '../../shared/wire/command.ts';
import { forkTest } from './estimate/kitchen.ts';
import type { BagTrack } from './state.ts';
import { type Refusal, refuse, tell, type Work } from './work.ts';

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

/** More than this tell nothing new. */
const MOST_FORK_TESTS = 24;

const LIES_WORDS: Record<Lies, string> = {
  under: 'wholly under the water',
  'partly-out': 'partly out of the water',
  afloat: 'afloat',
};

/** Says how a bag lies. Afloat or partly out of the water it is credited with no heat until it is under again. */
export function bagLies(work: Work, command: Of<'bag-lies'>): Refusal | null {
  const found = bagInside(work, command.bagId);
  if ('code' in found) return found;
  const layBefore = [...found.layBefore, { untilS: work.next.clockS, lies: found.lies }];
  replaceBag(work, found, { ...found, lies: command.lies, layBefore });
  tell(work, 'bag-lies', `${command.by}: ${found.spec.label} lies ${LIES_WORDS[command.lies]}.`, {
    bagId: command.bagId,
    from: found.lies,
    to: command.lies,
    by: command.by,
  });
  return null;
}

/** A fork in the piece: evidence about when it is ready. */
export function takeForkTest(work: Work, command: Of<'fork-test'>): Refusal | null {
  const found = bagInside(work, command.bagId);
  if ('code' in found) return found;
  const test = forkTest(found.estimate.tender, command.answer, command.by, work.input.wallMs);
  replaceBag(work, found, { ...found, forkTests: [...found.forkTests, test].slice(-MOST_FORK_TESTS) });
  tell(work, 'fork-test', `${command.by}: ${found.spec.label} is ${command.answer.replace('-', ' ')}.`, {
    bagId: command.bagId,
    answer: command.answer,
    equivalentHoursAt70C: test.hours[2] ?? 0,
    by: command.by,
  });
  return null;
}

/** The cold spot was searched and found: from now on the probe in this piece may be credited. */
export function confirmColdSpot(work: Work, command: Of<'cold-spot'>): Refusal | null {
  const found = bagInside(work, command.bagId);
  if ('code' in found) return found;
  const coldSpot = { by: command.by, how: command.how, atS: work.next.clockS };
  replaceBag(work, found, { ...found, coldSpot });
  tell(work, 'cold-spot', `${command.by} found the cold spot of ${found.spec.label}: ${command.how}.`, {
    bagId: command.bagId,
    how: command.how,
    by: command.by,
  });
  return null;
}

function bagInside(work: Work, bagId: string): BagTrack | Refusal {
  const bag = work.next.bags.find((b) => b.spec.bagId === bagId);
  if (!bag) return refuse('bag-unknown', bagId);
  return bag.outAtMs === null ? bag : refuse('bag-out', bagId);
}

function replaceBag(work: Work, before: BagTrack, after: BagTrack): void {
  work.next.bags = work.next.bags.map((b) => (b === before ? after : b));
}

import { heardInMeat } from '../../shared/food/measured.ts';
import { numberText } from '../../shared/units/temperature.ts';
import type { Command } from '../../shared/wire/command.ts';
import {
  type BagChill,
  chillReading,
  isChilling,
  newChillBreach,
  storageOf,
  withBreach,
} from './estimate/chill.ts';
import { dueByReading } from './estimate/due.ts';
import { anew, judgeHand } from './estimate/hand.ts';
import type { BagTrack } from './state.ts';
import { type Refusal, refuse, tell, type Work } from './work.ts';

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

/** A reading in the bath counts from now on, so it must be of now. */
const FRESH_S = 60;

/** A core read by hand: in the bath it bears on the credit, in a chilled bag it is the record of its cooling. */
export function takeCoreReading(work: Work, command: Of<'core-reading'>): Refusal | null {
  const bag = work.next.bags.find((b) => b.spec.bagId === command.bagId);
  if (!bag) return refuse('bag-unknown', command.bagId);
  if (bag.outAtMs === null) return readInBath(work, bag, command);
  if (bag.chill === null || !isChilling(bag)) return refuse('not-chilling', bag.spec.label);
  return readWhileChilling(work, bag, bag.chill, command);
}

function readInBath(work: Work, bag: BagTrack, command: Of<'core-reading'>): Refusal | null {
  const { next, input } = work;
  if (command.agoS > FRESH_S) return refuse('reading-too-old', bag.spec.label);
  const coldestC = Math.min(next.coldestC ?? bag.spec.startC, bag.spec.startC);
  const { celsius, errorC, by, coldSpot: how } = command;
  const coldSpot = how === undefined ? null : { by, how, atS: next.clockS };
  const read = { atMs: input.wallMs, celsius, errorC, by, coldSpot };
  const { hand, takenBack } = judgeHand(bag, read, coldestC);
  const after: BagTrack = {
    ...bag,
    hand,
    // A searched cold spot tells of the piece itself, now: it stands in for what a probe had shown.
    wired: coldSpot !== null && heardInMeat(hand.flags) ? null : bag.wired,
    probeSeen: bag.probeSeen || hand.effect === 'lowered',
    ...(takenBack ? { estimate: anew(bag.estimate), metAtMs: null, anewAtMs: input.wallMs } : {}),
  };
  replace(work, bag, after);
  const begins = takenBack ? ' It is colder than the model allows: the credit of heat begins anew.' : '';
  const due = hand.effect === 'lowered' && after.metAtMs === null ? dueByReading(next, after) : null;
  tell(
    work,
    'core-reading',
    `${command.by} read ${said(command)} in ${bag.spec.label}.${begins}${due ? ` ${due.words}` : ''}`,
    {
      ...(due ? { dueInS: due.dueInS } : {}),
      bagId: command.bagId,
      celsius: command.celsius,
      errorC: command.errorC,
      effect: hand.effect,
      coldSpot: how ?? null,
      flags: [...hand.flags],
      by: command.by,
    },
  );
  return null;
}

function readWhileChilling(
  work: Work,
  bag: BagTrack,
  chill: BagChill,
  command: Of<'core-reading'>,
): Refusal | null {
  const { next, input } = work;
  const atS = next.clockS - command.agoS - bag.inAtS;
  if (atS < chill.record.startS) return refuse('reading-too-old', bag.spec.label);
  const { celsius, errorC, by } = command;
  const read = { atMs: input.wallMs - command.agoS * 1000, celsius, errorC, by };
  replace(work, bag, chillReading(bag, chill, read, atS));
  tell(work, 'core-reading', `${by} read ${said(command)} in ${bag.spec.label}, which is being chilled.`, {
    bagId: command.bagId,
    celsius,
    errorC,
    agoS: command.agoS,
    by,
  });
  return null;
}

const said = ({ celsius, errorC }: Of<'core-reading'>) =>
  `${numberText(celsius)} °C (± ${errorC.toFixed(1)} K)`;

/** Ends a cooling record with what became of the food. */
export function endChill(work: Work, command: Of<'end-chill'>): Refusal | null {
  const { next, input } = work;
  const bag = next.bags.find((b) => b.spec.bagId === command.bagId);
  if (!bag) return refuse('bag-unknown', command.bagId);
  if (bag.chill === null || !isChilling(bag)) return refuse('not-chilling', bag.spec.label);
  const { fridgeC, fridgeRecorded, writtenPlan, rawGarlicOrHerbsInOil, outcome, by } = command;
  const end = {
    atMs: input.wallMs,
    atS: next.clockS,
    outcome,
    fridge: fridgeC === null ? null : { maxC: fridgeC, recorded: fridgeRecorded },
    writtenPlan,
    rawGarlicOrHerbsInOil,
  };
  const ended: BagTrack = { ...bag, chill: { ...bag.chill, end } };
  replace(work, bag, ended);
  const storage = storageOf(ended, ended.chill!, next.clockS);
  tell(work, 'chill-ended', `${by}: ${bag.spec.label} ${OUTCOME_WORDS[outcome]}. ${storage.words}`, {
    bagId: command.bagId,
    outcome,
    fridgeC,
    storeUntilMs: storage.untilMs,
    by,
  });
  return null;
}

const OUTCOME_WORDS: Record<Of<'end-chill'>['outcome'], string> = {
  fridge: 'lies in the fridge',
  frozen: 'is frozen',
  served: 'was served',
  discarded: 'was thrown away',
};

/** A refusal where a bag is still being chilled: its record would be lost with a new cook. */
export function openChill(bags: readonly BagTrack[]): Refusal | null {
  const open = bags.find(isChilling);
  return open ? refuse('chill-open', open.spec.label) : null;
}

/** Keeps each cooling rule that is broken by now, tells it once, and lets it ring. */
export function watchChill(work: Work): void {
  for (const bag of work.next.bags) {
    if (!isChilling(bag)) continue;
    const breach = newChillBreach(bag, work.next.clockS);
    if (breach === null) continue;
    replace(work, bag, withBreach(bag, breach));
    work.next.newlyBroken = true;
    tell(work, 'limit-broken', `${bag.spec.label}: ${breach.words}`, {
      bagId: bag.spec.bagId,
      limit: breach.limit,
      source: breach.source,
      atS: breach.atS,
    });
  }
}

function replace(work: Work, before: BagTrack, after: BagTrack): void {
  work.next.bags = work.next.bags.map((b) => (b === before ? after : b));
  work.bagsChanged.add(before.spec.bagId);
}

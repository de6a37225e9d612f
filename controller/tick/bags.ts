import { type Cut, cutById } from '../../shared/food/cuts.ts';
import { describedHold } from '../../shared/hazard/core-hold.ts';
import type { BagSpec, Command, Lies } from '../../shared/wire/command.ts';
import { advance, type BagEstimate, breachesOf, keepAgainst, metAtS, startEstimate } from './estimate/bag.ts';
import { beginChill } from './estimate/chill.ts';
import { learnFrom } from './estimate/kitchen.ts';
import { carryToLast, carryUnseen } from './estimate/step.ts';
import { eachKnown } from './history.ts';
import { explainLoad } from './load.ts';
import type { BagTrack } from './state.ts';
import { type Refusal, refuse, tell, type Work } from './work.ts';

/** Means further apart than this have a gap between them: more than a minute's mean and its neighbour. */
const GAP_S = 95;

/** Water not seen for so long is not taken for what it was. */
const LONG_UNSEEN_S = 10;

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

/** Puts a bag in, `agoS` ago: its past is taken from the logged water. */
export function bagIn(work: Work, command: Of<'bag-in'>, most: number): Refusal | null {
  const { next } = work;
  if (!next.cook || next.cook.endedAtMs !== null) return refuse('no-cook');
  if (next.bags.some((bag) => bag.spec.bagId === command.bag.bagId))
    return refuse('bag-exists', command.bag.bagId);
  if (next.bags.filter((bag) => bag.outAtMs === null).length >= most) return refuse('too-many-bags');
  const refusal = addBag(work, command.bag, next.clockS - command.agoS, false);
  if (refusal) return refusal;
  tell(work, 'bag-in', `${command.by}: ${command.bag.label} is in.`, {
    bag: command.bag,
    agoS: command.agoS,
    by: command.by,
  });
  return null;
}

/** Adds a bag that went in at `inAtS` of the tick's clock. */
export function addBag(work: Work, spec: BagSpec, inAtS: number, assumed: boolean): Refusal | null {
  const { next, input } = work;
  const cut = cutById(spec.cutId);
  if (!cut) return refuse('cut-unknown', spec.cutId);
  const bag: BagTrack = {
    spec,
    cutName: cut.name,
    assumed,
    inAtMs: input.wallMs - (next.clockS - inAtS) * 1000,
    inAtS,
    outAtMs: null,
    outAtS: null,
    lies: 'under',
    layBefore: [],
    probeSeen: false,
    ...sinceThen(work, startEstimate(spec, cut, next.settings.around), inAtS, () => 'under'),
    coldSpot: null,
    measured: null,
    hand: null,
    wired: null,
    doubtedAtS: null,
    anewAtMs: null,
    chill: null,
    forkTests: [],
    metAtMs: null,
  };
  next.bags = [...next.bags, bag];
  next.load = explainLoad(next.load, next.clockS);
  if (next.heat.stoppedBy === null && next.cook?.stage === 'taken-out')
    next.cook = { ...next.cook, stage: 'heating' };
  work.bagsChanged.add(spec.bagId);
  return null;
}

interface Carried {
  readonly estimate: BagEstimate;
  readonly carriedS: number;
  readonly carriedC: number | null;
}

/**
 * Carries a fresh estimate through the logged water from `inAtS` to the last reading. What was not measured counts as a
 * gap; `liesAt` says how the bag lay at a moment of the tick's clock.
 */
function sinceThen(work: Work, fresh: BagEstimate, inAtS: number, liesAt: (atS: number) => Lies): Carried {
  const { history, lastGood, settings } = work.next;
  let estimate = fresh;
  let lastC: number | null = null;
  let lastS = inAtS;
  const reach = (atS: number, celsius: number) => {
    const seconds = atS - lastS;
    const stretch = {
      fromC: lastC ?? celsius,
      toC: celsius,
      seconds,
      atS: atS - inAtS,
      gap: seconds > GAP_S,
    };
    estimate = advance(estimate, stretch, settings.around.circulation, liesAt(atS));
    lastC = celsius;
    lastS = atS;
  };
  eachKnown(history, inAtS, reach);
  if (lastGood && lastGood.atS > lastS) reach(lastGood.atS, lastGood.celsius);
  return { estimate, carriedS: lastS, carriedC: lastC };
}

/** How a bag lay at a moment, from its record. */
function layAt(bag: BagTrack): (atS: number) => Lies {
  return (atS) => bag.layBefore.find((one) => atS <= one.untilS)?.lies ?? bag.lies;
}

/** True where the description of the food itself is another, and not only its name, weight or what is wanted of it. */
function otherFood(a: BagSpec, b: BagSpec): boolean {
  return a.cutId !== b.cutId || a.beta !== b.beta || a.thicknessMm !== b.thicknessMm || a.startC !== b.startC;
}

/**
 * Describes a bag anew. The estimate begins again from the moment it went in, through the logged water.
 */
export function editBag(work: Work, command: Of<'edit-bag'>): Refusal | null {
  const { next } = work;
  const bag = next.bags.find((b) => b.spec.bagId === command.bag.bagId);
  if (!bag) return refuse('bag-unknown', command.bag.bagId);
  if (bag.outAtMs !== null) return refuse('bag-out', command.bag.bagId);
  const cut = cutById(command.bag.cutId);
  if (!cut) return refuse('cut-unknown', command.bag.cutId);
  const edited = describedAnew(work, bag, command.bag, cut);
  next.bags = next.bags.map((b) => (b === bag ? edited : b));
  work.bagsChanged.add(command.bag.bagId);
  tell(work, 'bag-edited', `${command.by} described ${command.bag.label} anew.`, {
    before: bag.spec,
    after: command.bag,
    broken: breachesOf(edited.estimate).map((breach) => breach.limit),
    by: command.by,
  });
  return null;
}

function describedAnew(work: Work, bag: BagTrack, spec: BagSpec, cut: Cut): BagTrack {
  const plain: BagTrack = { ...bag, spec, cutName: cut.name, assumed: false };
  if (!otherFood(bag.spec, spec)) return plain;
  const fresh = startEstimate(spec, cut, work.next.settings.around);
  const carried = sinceThen(work, fresh, bag.inAtS, layAt(bag));
  const estimate = keepAgainst(bag.estimate, carried.estimate, bag.probeSeen);
  const metS = metAtS(estimate);
  const metAtMs = metS === null ? null : bag.inAtMs + metS * 1000;
  // What a reading by hand lowered stays lowered, and what it cost stays lost (keepAgainst): a description is no reading.
  const hand = bag.hand && { ...bag.hand, floorC: null };
  const wired = describedHold(bag.wired, bag.estimate.core.lowC, estimate.core.lowC);
  return { ...plain, ...carried, estimate, metAtMs, hand, wired };
}

/** Takes a bag out. After the last one the heat stops: a hot bath without food is for a person to ask for again. */
export function bagOut(work: Work, command: Of<'bag-out'>): Refusal | null {
  const { next, input } = work;
  const bag = next.bags.find((b) => b.spec.bagId === command.bagId);
  if (!bag) return refuse('bag-unknown', command.bagId);
  if (bag.outAtMs !== null) return refuse('bag-out', command.bagId);
  // What the water did unseen up to now belongs to the bag before it leaves.
  carryToLast(work);
  carryUnseen(work, LONG_UNSEEN_S);
  next.bags = next.bags.map((b) => {
    if (b.spec.bagId !== command.bagId) return b;
    const out = { ...b, outAtMs: input.wallMs, outAtS: next.clockS };
    return command.destination === 'chill' ? beginChill(out, command.chilling ?? 'other') : out;
  });
  next.kitchen = learnFrom(next.kitchen, bag.spec, bag.forkTests);
  next.load = explainLoad(next.load, next.clockS);
  work.bagsChanged.add(command.bagId);
  const where = command.destination === 'chill' ? ', to chill' : '';
  tell(work, 'bag-out', `${command.by}: ${bag.spec.label} is out${where}.`, {
    bagId: command.bagId,
    destination: command.destination ?? 'serve',
    chilling: command.destination === 'chill' ? (command.chilling ?? 'other') : null,
    by: command.by,
  });
  if (next.cook && next.bags.every((b) => b.outAtMs !== null)) {
    next.cook = { ...next.cook, stage: 'taken-out' };
    next.heat = { ...next.heat, stoppedBy: 'the last bag was taken out' };
    work.cookChanged = true;
    tell(work, 'heat-stopped', 'The last bag is out: the heat is stopped.');
  }
  return null;
}

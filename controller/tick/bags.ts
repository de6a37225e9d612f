import { cutById } from '../../shared/food/cuts.ts';
import type { BagSpec, Command, Lies } from '../../shared/wire/command.ts';
import { advance, type BagEstimate, metAtS, startEstimate } from './estimate/bag.ts';
import { learnFrom } from './estimate/kitchen.ts';
import { eachKnown } from './history.ts';
import { explainLoad } from './load.ts';
import type { BagTrack } from './state.ts';
import { type Refusal, refuse, tell, type Work } from './work.ts';

/** Means further apart than this have a gap between them: more than a minute's mean and its neighbour. */
const GAP_S = 95;

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

/** Puts a bag in, `agoS` ago: its past is taken from the logged water. */
export function bagIn(work: Work, command: Of<'bag-in'>, most: number): Refusal | null {
  const { next } = work;
  if (!next.cook || next.cook.endedAtMs !== null) return refuse('no-cook');
  if (next.bags.some((bag) => bag.spec.bagId === command.bag.bagId))
    return refuse('bag-exists', command.bag.bagId);
  if (next.bags.filter((bag) => bag.outAtMs === null).length >= most) return refuse('too-many-bags');
  const refusal = addBag(work, command.bag, Math.max(0, next.clockS - command.agoS), false);
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
    estimate: sinceThen(work, startEstimate(spec, cut, next.settings.around), inAtS, 'under'),
    coldSpot: null,
    measured: null,
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

/** Carries a fresh estimate through the logged water from `inAtS` to now. What was not measured counts as a gap. */
function sinceThen(work: Work, fresh: BagEstimate, inAtS: number, lies: Lies): BagEstimate {
  const { history, clockS, lastGood, settings } = work.next;
  let estimate = fresh;
  let lastC: number | null = null;
  let lastS = inAtS;
  const reach = (atS: number, celsius: number) => {
    const gap = atS - lastS > GAP_S;
    const ownS = atS - inAtS;
    const stretch = { fromC: lastC ?? celsius, toC: celsius, seconds: atS - lastS, atS: ownS, gap };
    estimate = advance(estimate, stretch, settings.around.circulation, lies);
    lastC = celsius;
    lastS = atS;
  };
  eachKnown(history, inAtS, reach);
  if (lastGood && clockS > lastS) reach(clockS, lastGood.celsius);
  return estimate;
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
  const fresh = startEstimate(command.bag, cut, next.settings.around);
  const estimate = sinceThen(work, fresh, bag.inAtS, bag.lies);
  const metS = metAtS(estimate);
  const metAtMs = metS === null ? null : bag.inAtMs + metS * 1000;
  const edited: BagTrack = {
    ...bag,
    spec: command.bag,
    cutName: cut.name,
    assumed: false,
    estimate,
    metAtMs,
  };
  next.bags = next.bags.map((b) => (b === bag ? edited : b));
  work.bagsChanged.add(command.bag.bagId);
  tell(work, 'bag-edited', `${command.by} described ${command.bag.label} anew.`, {
    before: bag.spec,
    after: command.bag,
    by: command.by,
  });
  return null;
}

/** Takes a bag out. After the last one the heat stops: a hot bath without food is for a person to ask for again. */
export function bagOut(work: Work, command: Of<'bag-out'>): Refusal | null {
  const { next, input } = work;
  const bag = next.bags.find((b) => b.spec.bagId === command.bagId);
  if (!bag) return refuse('bag-unknown', command.bagId);
  if (bag.outAtMs !== null) return refuse('bag-out', command.bagId);
  next.bags = next.bags.map((b) => (b === bag ? { ...bag, outAtMs: input.wallMs, outAtS: next.clockS } : b));
  next.kitchen = learnFrom(next.kitchen, bag.spec, bag.forkTests);
  next.load = explainLoad(next.load, next.clockS);
  work.bagsChanged.add(command.bagId);
  tell(work, 'bag-out', `${command.by}: ${bag.spec.label} is out.`, { bagId: command.bagId, by: command.by });
  if (next.cook && next.bags.every((b) => b.outAtMs !== null)) {
    next.cook = { ...next.cook, stage: 'taken-out' };
    next.heat = { ...next.heat, stoppedBy: 'the last bag was taken out' };
    work.cookChanged = true;
    tell(work, 'heat-stopped', 'The last bag is out: the heat is stopped.');
  }
  return null;
}

import { trackResult } from '../../../shared/hazard/track-view.ts';
import { durationText } from '../../../shared/units/duration.ts';
import type { Command } from '../../../shared/wire/command.ts';
import { WATER } from '../control/identify/rig.ts';
import { underwayC } from '../control/identify/underway.ts';
import { advanceWatched, type BagEstimate, breachesOf, leastLog10 } from '../estimate/bag.ts';
import { afterWater, bears, holdsLower, withCreditOf } from '../estimate/hand.ts';
import { unread, watchOf } from '../estimate/probe.ts';
import { carryToLast, noteEstimate } from '../estimate/step.ts';
import { forgetBath } from '../history.ts';
import { explainLoad } from '../load.ts';
import type { Sense } from '../sense.ts';
import type { BagTrack, TickState } from '../state.ts';
import { watchAfterAway } from '../supervise/watch/watch.ts';
import { type Refusal, refuse, tell, type Work } from '../work.ts';
import { bridgeBag, type Measured, measure } from './measure.ts';
import type { OutageBag, OutageState } from './state.ts';
import { lengthWords } from './words.ts';

/** The water is mixed for so long before its temperature is taken for the whole of it, s of valid readings. */
export const MIXING_S = 120;
/** Readings of the last so many seconds are taken. */
const MEASURED_S = 60;
/** Without readings nobody waits longer, s. */
const PATIENCE_S = 600;
/** A restart that a trusted clock calls shorter, and the water agrees, is no power cut to decide on, s. */
const SHORT_S = 30;

/** The first tick after a restart: with food in, how far the water fell is measured before anything is reckoned. */
export function beginOutage(work: Work, before: TickState): void {
  const { next, input } = work;
  const { cook, lastGood } = next;
  if (!input.restart || !cook || cook.endedAtMs !== null || !before.lastGood || !lastGood) return;
  if (!next.bags.some((bag) => bag.outAtMs === null)) return;
  const { awayMs, log = null } = input.restart;
  if (before.outage?.phase === 'mixing') {
    cutAgain(work, before.outage);
    return;
  }
  const water = before.rig.belief.mean[WATER]!;
  const { celsius } = before.lastGood;
  next.outage = {
    phase: 'mixing',
    sinceMs: before.wallMs,
    restartMs: input.wallMs,
    clockS: awayMs === null ? null : awayMs / 1000,
    movedS: (awayMs ?? 0) / 1000,
    before: {
      waterC: Math.abs(water - celsius) < 0.3 ? water : celsius,
      underwayC: underwayC(before.rig),
      roomC: before.watch.roomC,
      unreadS: before.clockS - before.lastGood.atS,
      setpointC: before.heat.stoppedBy === null ? cook.setpointC : null,
    },
    roomKnown: input.readings.ambient?.quality === 'good',
    waitedS: 0,
    mixedS: 0,
    sumC: 0,
    readings: 0,
    log,
    length: null,
    afterC: null,
    belowHotS: [0, 0, 0],
    bags: [],
    open: before.outage,
  };
  next.awayUnknown = false;
  carryToLast(work);
}

/**
 * The power went again before the water was measured: no bag has been carried through the first cut yet, and no heat was
 * given since, so both are one, with what was mixed in between as a part of it.
 */
function cutAgain({ next, input }: Work, first: OutageState): void {
  const { awayMs = null, log = null } = input.restart ?? {};
  const awayS = awayMs === null ? null : awayMs / 1000;
  next.outage = {
    ...first,
    restartMs: input.wallMs,
    clockS: first.clockS === null || awayS === null ? null : first.clockS + first.waitedS + awayS,
    movedS: first.movedS + first.waitedS + (awayS ?? 0),
    roomKnown: first.roomKnown && input.readings.ambient?.quality === 'good',
    waitedS: 0,
    mixedS: 0,
    sumC: 0,
    readings: 0,
    log: first.log ?? log,
  };
  next.awayUnknown = false;
}

/** True while the water is being mixed: bags wait, and so does the heat. */
export function isMixing({ outage }: TickState): boolean {
  return outage?.phase === 'mixing';
}

/** Commands about what is in the bath need to know what it has been through: they end the mixing early. */
export function settleFor(work: Work, command: Command): void {
  if (!isMixing(work.next) || !TOUCHES_BAGS.has(command.kind)) return;
  const { outage } = work.next;
  const soFar = outage && outage.readings > 0 ? outage.sumC / outage.readings : null;
  settle(work, soFar);
}

const TOUCHES_BAGS: ReadonlySet<Command['kind']> = new Set<Command['kind']>([
  'bag-in',
  'edit-bag',
  'bag-out',
  'bag-lies',
  'core-reading',
  'answer-load',
  'end-cook',
  'start-cook',
]);

/** One tick of the mixing. Gives true while the bags wait. */
export function followOutage(work: Work, sense: Sense): boolean {
  const { outage } = work.next;
  if (outage?.phase !== 'mixing') return false;
  const waitedS = outage.waitedS + (work.input.restart ? 0 : work.dtS);
  const mixedS = outage.mixedS + (sense.celsius === null || work.input.restart ? 0 : work.dtS);
  const counts = sense.celsius !== null && mixedS > MIXING_S - MEASURED_S;
  const sumC = outage.sumC + (counts ? sense.celsius : 0);
  const readings = outage.readings + (counts ? 1 : 0);
  work.next.outage = { ...outage, waitedS, mixedS, sumC, readings };
  if (mixedS >= MIXING_S) settle(work, sumC / readings);
  else if (waitedS >= PATIENCE_S) settle(work, null);
  if (sense.celsius !== null) keepLast(work, sense.celsius);
  return true;
}

function keepLast({ next, input }: Work, celsius: number): void {
  next.coldestC = Math.min(next.coldestC ?? celsius, celsius);
  next.lastGood = { celsius, monotonicMs: input.readings.bath.monotonicMs, atS: next.clockS };
}

/** The length is known as well as it will be: the food is carried through the power cut, and people are told. */
function settle(work: Work, afterC: number | null): void {
  const { next } = work;
  const { outage } = next;
  if (!outage) return;
  const found = measure(next, outage, afterC);
  const moreS = Math.max(0, found.length.countsS - outage.movedS);
  const watchedS = outage.waitedS;
  if (moreS > 0) {
    next.clockS += moreS;
    next.history = forgetBath(next.history, next.clockS);
    next.watch = watchAfterAway(next.watch, null, next.clockS);
  }
  next.load = explainLoad(next.load, next.clockS);
  const bags: OutageBag[] = [];
  next.bags = next.bags.map((bag) => {
    if (bag.outAtMs !== null) return bag;
    const after = throughOutage(work, bag, found, afterC, watchedS);
    bags.push(factsOf(bag, after));
    return after;
  });
  // What was broken in rows that the chain does not vouch for was not told when it broke.
  const unvouched = outage.log?.unsoundAfter !== undefined;
  const broken = bags.some((one) => one.broken.length > 0 || (unvouched && one.brokenBefore.length > 0));
  if (unvouched) for (const { bagId } of bags) work.bagsChanged.add(bagId);
  next.newlyBroken = next.newlyBroken || broken;
  const brief = !broken && outage.log === null && outage.clockS !== null && outage.clockS < SHORT_S;
  const asks = !(brief && found.length.verdict === 'agree') && bags.length > 0;
  next.outage = asks
    ? {
        ...outage,
        phase: 'known',
        length: found.length,
        afterC,
        belowHotS: found.belowHotS,
        bags,
        open: null,
      }
    : outage.open;
  tell(
    work,
    asks ? 'power-cut' : 'restart-bridged',
    `The controller was away. ${lengthWords(found.length)}`,
    {
      length: found.length,
      water: { beforeC: outage.before.waterC, afterC },
      belowHotS: found.belowHotS,
      bags,
    },
  );
}

function throughOutage(
  work: Work,
  bag: BagTrack,
  found: Measured,
  afterC: number | null,
  watchedS: number,
): BagTrack {
  const { next } = work;
  const bridged = bridgeBag(bag, found);
  // Where a reading by hand, or what a probe had shown, holds the credit lower, the bridge's coldest core is not cold enough to credit by.
  let estimate: BagEstimate =
    holdsLower(bag.hand) || bag.wired ? withCreditOf(bridged, bag.estimate) : bridged;
  const hand = bears(bag.hand) ? afterWater(bag.hand, null) : bag.hand;
  if (afterC !== null && watchedS > 0) {
    const water = { fromC: afterC, toC: afterC, seconds: watchedS, atS: next.clockS - bag.inAtS, gap: false };
    const { circulation } = next.settings.around;
    const seen = { ...unread(work, bag), byHand: bears(hand) ? hand : null };
    ({ estimate } = advanceWatched(estimate, watchOf(bag), water, circulation, bag.lies, seen));
  }
  const after: BagTrack = { ...bag, estimate, hand, measured: null, carriedS: next.clockS, carriedC: afterC };
  return noteEstimate(work, bag, after);
}

function factsOf(before: BagTrack, after: BagTrack): OutageBag {
  const known = breachesOf(before.estimate).map(({ words }) => words);
  const limits = new Set(breachesOf(before.estimate).map(({ limit }) => limit));
  const fresh = breachesOf(after.estimate).filter(({ limit }) => !limits.has(limit));
  const core = ({ estimate }: BagTrack) =>
    [estimate.core.lowC, estimate.core.middleC, estimate.core.highC] as const;
  return {
    bagId: before.spec.bagId,
    beforeC: core(before),
    afterC: core(after),
    growth: [grownLog10(before), grownLog10(after)],
    lethality: [leastLog10(before.estimate), leastLog10(after.estimate)],
    met: before.metAtMs !== null,
    broken: [...new Set(fresh.map(({ words }) => words))],
    brokenBefore: [...new Set(known)],
    decision: null,
  };
}

const grownLog10 = ({ estimate, carriedS, inAtS }: BagTrack) =>
  trackResult(estimate.track, carriedS - inAtS).worst.growth.log10;

/** Once every bag has been decided on, or is out, the power cut is over; the record keeps it. */
export function closeOutage(work: Work): void {
  const { outage, bags } = work.next;
  if (outage?.phase !== 'known') return;
  const out = (bagId: string) => bags.every((bag) => bag.spec.bagId !== bagId || bag.outAtMs !== null);
  if (!outage.bags.every(({ bagId, decision }) => decision !== null || out(bagId))) return;
  work.next.outage = null;
  tell(work, 'power-cut-closed', 'Every bag has been decided on after the power cut, or is out.', {
    decisions: outage.bags.map(({ bagId, decision }) => ({ bagId, decision })),
  });
}

/** A person's decision about one bag, with their name. It changes nothing by itself: what is done is done by hand. */
export function decideOutage(
  work: Work,
  command: Extract<Command, { kind: 'decide-outage' }>,
): Refusal | null {
  const { outage, bags } = work.next;
  if (!outage) return refuse('no-question', 'No power cut waits for a decision.');
  if (outage.phase === 'mixing') return refuse('no-question', 'The water is still being mixed and measured.');
  const label = bags.find((bag) => bag.spec.bagId === command.bagId)?.spec.label;
  const facts = outage.bags.find((bag) => bag.bagId === command.bagId);
  if (!facts || label === undefined) return refuse('bag-unknown', command.bagId);
  const { choice, name, by, note } = command;
  const decision = { choice, name, by, atMs: work.input.wallMs, note };
  const decided = outage.bags.map((bag) => (bag === facts ? { ...bag, decision } : bag));
  work.next.outage = { ...outage, bags: decided };
  tell(work, 'outage-decided', `${name} decided for ${label} after the power cut: ${CHOICE_WORDS[choice]}.`, {
    bagId: command.bagId,
    ...decision,
    broken: facts.broken,
    brokenBefore: facts.brokenBefore,
  });
  return null;
}

const CHOICE_WORDS = {
  'go-on': 'go on with the cook',
  chill: 'take it out and chill it',
  discard: 'throw it away',
} as const;

/** How long the heat still waits for the water to be mixed, s; null where it does not. */
export function mixingLeftS({ outage }: TickState): number | null {
  return outage?.phase === 'mixing' ? Math.max(0, MIXING_S - outage.mixedS) : null;
}

/** Why there is no heat while the water is mixed. */
export function mixingWords(state: TickState): string | null {
  const left = mixingLeftS(state);
  return left === null
    ? null
    : `After a power cut the water is mixed and measured first: ${durationText(left)} to go.`;
}

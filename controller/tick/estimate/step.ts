import { watchChill } from '../chill.ts';
import { followOutage } from '../outage/follow.ts';
import type { Sense } from '../sense.ts';
import type { BagTrack } from '../state.ts';
import { tell, type Work } from '../work.ts';
import { advanceWatched, breachCount, breachesOf, metAtS, type Stretch } from './bag.ts';
import { afterWater, bears } from './hand.ts';
import { probeC, tellHeld, tellTakenBack, unread, watchOf } from './probe.ts';
import { longestAwayS, unseenWater } from './unseen.ts';

/** Water not measured for longer than this is a gap in the food's history. */
const GAP_S = 10;
/** While the water is not seen, the bags are carried on this often, so that a broken limit rings in the outage. */
const UNSEEN_STEP_S = 60;
/**
 * A bag is carried on this often: food follows the water over many minutes, and the solver is exact for a straight line
 * of water at any spacing. Bags take turns, so that one second has one of them to carry.
 */
const STEP_S = 5;

/** Carries every bag that is in to this tick: through measured water, or through what it may have been. */
export function estimateBags(work: Work, sense: Sense): void {
  const { next } = work;
  next.newlyBroken = false;
  if (followOutage(work, sense)) return;
  if (sense.celsius === null) carryUnseen(work, UNSEEN_STEP_S);
  else carrySeen(work, sense.celsius);
  watchChill(work);
}

function carrySeen(work: Work, toC: number): void {
  const { next, input } = work;
  boundUnknownAway(work, toC);
  next.coldestC = Math.min(next.coldestC ?? toC, toC);
  const last = next.lastGood;
  next.bags = next.bags.map((bag, place) => {
    const seconds = next.clockS - bag.carriedS;
    if (bag.outAtMs !== null || seconds <= 0) return bag;
    const unseen = last === null || next.clockS - last.atS > GAP_S;
    const gap = unseen || bag.carriedC === null || input.restart !== null || next.awayUnknown;
    if (!gap && seconds < STEP_S && (input.sequence + place) % STEP_S !== 0) return bag;
    // A bag that went in, or was carried on unseen, after the last reading starts from what is measured now.
    const fromC = bag.carriedC ?? toC;
    return stepBag(work, bag, { fromC, toC, seconds, atS: next.clockS, gap }, toC);
  });
  next.awayUnknown = false;
  next.lastGood = { celsius: toC, monotonicMs: input.readings.bath.monotonicMs, atS: next.clockS };
}

/**
 * Carries every bag that is in through water nobody sees, once `everyS` have gone by: no heat is given meanwhile, so
 * the water lies between a slow and a fast cooling; each hazard takes the end that is worse for it.
 */
export function carryUnseen(work: Work, everyS: number): void {
  const { next } = work;
  const last = next.lastGood;
  if (!last) return;
  next.bags = next.bags.map((bag) => {
    const seconds = next.clockS - bag.carriedS;
    if (bag.outAtMs !== null || seconds < Math.max(everyS, 1e-9)) return bag;
    const water = unseenWater(last.celsius, Math.max(0, next.clockS - last.atS), next.settings.litres);
    const stretch = { fromC: water.warmC, toC: water.coolC, seconds, atS: next.clockS, gap: true };
    return stepBag(work, bag, stretch, null);
  });
}

/** Carries every bag that is in to the last reading, for what must not wait for its turn. */
export function carryToLast(work: Work): void {
  const { next } = work;
  const last = next.lastGood;
  if (!last) return;
  next.bags = next.bags.map((bag) => {
    const seconds = last.atS - bag.carriedS;
    if (bag.outAtMs !== null || seconds <= 0 || bag.carriedC === null) return bag;
    const stretch = { fromC: bag.carriedC, toC: last.celsius, seconds, atS: last.atS, gap: seconds > GAP_S };
    return stepBag(work, bag, stretch, last.celsius);
  });
}

/** The clock could not tell how long nobody watched: then it was as long as the fall of the water allows. */
function boundUnknownAway(work: Work, nowC: number): void {
  const { next } = work;
  if (!next.awayUnknown || !next.lastGood) return;
  const seconds = longestAwayS(next.lastGood.celsius, nowC, next.settings.litres);
  next.clockS += seconds;
  tell(
    work,
    'away-bounded',
    'How long the controller was away is not known; it counts as the longest the cooling allows.',
    {
      seconds,
      beforeC: next.lastGood.celsius,
      afterC: nowC,
    },
  );
}

/** `knownC`: the measured water at the end of the stretch; null where nobody saw it. */
function stepBag(work: Work, bag: BagTrack, stretch: Stretch, knownC: number | null): BagTrack {
  const { around } = work.next.settings;
  // A bag's own clock begins when it goes in, so that what is said of it counts from then.
  const own = { ...stretch, atS: stretch.atS - bag.inAtS };
  const surroundedC = own.gap || bag.lies !== 'under' ? null : Math.min(own.fromC, own.toC);
  const hand = bears(bag.hand) ? afterWater(bag.hand, surroundedC) : null;
  const seen = {
    ...unread(work, bag),
    celsius: probeC(work.input, bag),
    byHand: bears(hand) ? hand : null,
    clockS: stretch.atS,
  };
  const { estimate, watch, takenBack } = advanceWatched(
    bag.estimate,
    watchOf(bag),
    own,
    around.circulation,
    bag.lies,
    seen,
  );
  const { measured, doubtedAtS } = watch;
  const after: BagTrack = {
    ...bag,
    estimate,
    measured,
    hand: hand ?? bag.hand,
    wired: watch.hold,
    doubtedAtS,
    carriedS: stretch.atS,
    carriedC: knownC,
    probeSeen: bag.probeSeen || (measured !== null && measured.celsius !== null),
    ...(takenBack ? { metAtMs: null, anewAtMs: work.input.wallMs } : {}),
  };
  const told = tellHeld(work, after);
  if (takenBack) tellTakenBack(work, told);
  return noteEstimate(work, bag, told);
}

/** Tells what a step of a bag brought: limits newly broken, the standard newly met. Gives the bag as it is kept. */
export function noteEstimate(work: Work, bag: BagTrack, after: BagTrack): BagTrack {
  const { estimate } = after;
  tellBroken(work, bag, after);
  if (after.metAtMs !== null || metAtS(estimate) === null) return after;
  work.bagsChanged.add(bag.spec.bagId);
  const words = `${bag.spec.label}: the lethality standard is met in the slowest case (modelled).`;
  tell(work, 'lethality-met', words, {
    bagId: bag.spec.bagId,
    standardId: estimate.track.setup.standardIds[0] ?? null,
  });
  return { ...after, metAtMs: work.input.wallMs };
}

/** Each newly broken limit is told once, and rings again even where an earlier one was acknowledged. */
function tellBroken(work: Work, before: BagTrack, after: BagTrack): void {
  if (breachCount(after.estimate) === breachCount(before.estimate)) return;
  const known = new Set(breachesOf(before.estimate).map((breach) => breach.limit));
  for (const breach of breachesOf(after.estimate)) {
    if (known.has(breach.limit)) continue;
    known.add(breach.limit);
    work.next.newlyBroken = true;
    work.bagsChanged.add(after.spec.bagId);
    tell(work, 'limit-broken', `${after.spec.label}: ${breach.words}`, {
      bagId: after.spec.bagId,
      limit: breach.limit,
      source: breach.source,
      atS: breach.atS,
    });
  }
}

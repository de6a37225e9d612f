import { holdsAlone } from '../../../shared/hazard/core-hold.ts';
import type { CoreSeen, CoreWatch } from '../../../shared/hazard/core-watch.ts';
import type { TickInput } from '../../../shared/wire/tick.ts';
import type { BagTrack } from '../state.ts';
import { tell, type Work } from '../work.ts';
import { dueByReading } from './due.ts';

/** What the probe in a bag's piece has said so far, as the estimate takes it. */
export function watchOf({ measured, wired, doubtedAtS }: BagTrack): CoreWatch {
  return { measured, hold: wired, doubtedAtS };
}

/** What is known of a piece now, beside the water, where nobody reads its core. */
export function unread({ next, input }: Work, bag: BagTrack): CoreSeen {
  return {
    celsius: undefined,
    coldSpot: bag.coldSpot,
    coldestC: Math.min(next.coldestC ?? bag.spec.startC, bag.spec.startC),
    byHand: null,
    clockS: next.clockS,
    wallMs: input.wallMs,
  };
}

/** The probe in a bag's piece, C: null where it does not answer, undefined where there is none. */
export function probeC(input: TickInput, { spec }: BagTrack): number | null | undefined {
  const probe = input.readings.cores.find((core) => core.bagId === spec.bagId);
  return probe && (probe.reading.quality === 'good' ? probe.reading.celsius : null);
}

/** The record says that a probe has disproved the model, and what it showed. */
export function tellTakenBack(work: Work, bag: BagTrack): void {
  const { spec, wired } = bag;
  const words = `${spec.label}: the probe in the piece shows it colder than the model allows. The credit of heat begins anew.`;
  const due = dueByReading(work.next, bag);
  tell(work, 'credit-anew', `${words} ${due.words}`, {
    bagId: spec.bagId,
    dueInS: due.dueInS,
    celsius: wired?.celsius ?? null,
    sinceS: wired?.sinceS ?? null,
  });
  work.bagsChanged.add(spec.bagId);
}

/** The record says once for each hold that a probe no longer shows what it lowered, and that it stays lowered. */
export function tellHeld(work: Work, bag: BagTrack): BagTrack {
  const { wired, spec } = bag;
  if (!holdsAlone(wired, bag.measured) || wired.told) return bag;
  const words = `${spec.label}: the probe in the piece showed it slower than the model and no longer says so. What it lowered stays lowered.`;
  const due = dueByReading(work.next, bag);
  tell(work, 'probe-held', `${words} ${due.words}`, {
    bagId: spec.bagId,
    dueInS: due.dueInS,
    celsius: wired.celsius,
    lowerK: wired.lowerK,
    capC: wired.capC,
  });
  work.bagsChanged.add(spec.bagId);
  return { ...bag, wired: { ...wired, told: true } };
}

import { holdsAlone } from '../../../shared/hazard/core-hold.ts';
import { standingSpot } from '../../../shared/hazard/core-watch.ts';
import { trackVerdicts } from '../../../shared/hazard/track-verdicts.ts';
import { trackResult } from '../../../shared/hazard/track-view.ts';
import type { Belief } from '../../../shared/tender/belief.ts';
import { forecastReady } from '../../../shared/tender/forecast.ts';
import { EA_MIDDLE } from '../../../shared/tender/kinetics.ts';
import { moistureLoss } from '../../../shared/tender/moisture.ts';
import type { BagView, LethalityView, TenderView } from '../../../shared/wire/status.ts';
import { bagSampleOf } from '../rows.ts';
import type { BagTrack, TickState } from '../state.ts';
import type { Ahead, HeldBy } from './ahead.ts';
import { chillView, judgedS } from './chill.ts';
import { aheadOf } from './due.ts';
import { type HandReading, holdsLower } from './hand.ts';
import { beliefOf, classOf, pieceOf } from './kitchen.ts';
import { watchOf } from './probe.ts';

/** What the page may know of a bag's future; made now and then, for it takes milliseconds. */
export interface Outlook {
  readonly ahead: Ahead | null;
  readonly tender: TenderView | null;
  /** The caller's clock when it was made, seconds. */
  readonly madeAtS: number;
}

/** Looks ahead for one bag: when its standard will be met and when it will be ready, if the bath comes to its setpoint and keeps to it. */
export function outlookOf(state: TickState, bag: BagTrack): Outlook {
  const { clockS, wallMs } = state;
  // Without heat the bath cools, and no time that supposes the setpoint may be shown.
  const off = state.heat.stoppedBy !== null ? 'stopped' : state.trip !== null ? 'tripped' : null;
  const ahead = bag.outAtMs !== null || off !== null ? null : aheadOf(state, bag);
  const path = ahead?.path ?? [{ seconds: 0, celsius: 20 }];
  const tender = tenderOf(state.kitchen, bag, path, clockS, wallMs);
  if (off === null || tender === null) return { ahead, tender, madeAtS: clockS };
  const why = `No forecast while the heat is ${off}.`;
  return { ahead, tender: { ...tender, p10AtMs: null, p50AtMs: null, p90AtMs: null, why }, madeAtS: clockS };
}

function tenderOf(
  kitchen: readonly Belief[],
  bag: BagTrack,
  path: Ahead['path'],
  clockS: number,
  wallMs: number,
): TenderView | null {
  const c = classOf(bag.spec);
  if (c === null) return null;
  const belief = beliefOf(kitchen, c);
  const { tender } = bag.estimate;
  const elapsedS = (bag.outAtS ?? clockS) - bag.inAtS;
  const forecast = forecastReady(c, belief, pieceOf(bag.spec, bag.forkTests), tender, path, elapsedS);
  const at = (seconds: number | null) =>
    seconds === null || bag.outAtMs !== null ? null : wallMs + (seconds - elapsedS) * 1000;
  const tests = bag.forkTests.length;
  const from =
    belief.pieces > 0 ? `${belief.pieces} pieces cooked in this kitchen` : `what is published of ${c.name}`;
  return {
    endpoint: bag.spec.endpoint,
    readyNow: forecast.readyNow,
    p10AtMs: at(forecast.p10S),
    p50AtMs: at(forecast.p50S),
    p90AtMs: at(forecast.p90S),
    spanRatio: forecast.spanRatio,
    equivalentHoursAt70C: tender.hours[EA_MIDDLE] ?? 0,
    why: `From ${from}, the modelled core${tests > 0 ? `, and ${tests} fork test${tests > 1 ? 's' : ''}` : ''}.`,
    forkTests: bag.forkTests.map(({ atMs, answer, by }) => ({ atMs, answer, by })),
  };
}

/** One bag as the page shows it. */
export function bagView(state: TickState, bag: BagTrack, outlook: Outlook): BagView {
  const atS = judgedS(bag, state.clockS);
  const { coreC, coldC, hotC } = bagSampleOf(bag);
  const { track, tender } = bag.estimate;
  const { worst } = trackResult(track, atS);
  const wall = (seconds: number | null) => (seconds === null ? null : bag.inAtMs + seconds * 1000);
  const { comeUpS, comeUpLimitS, comeUpDoneAtS } = worst.limits;
  const moisture = moistureLoss(tender);
  const spot = standingSpot(watchOf(bag), bag.coldSpot);
  const dueInS = outlook.ahead?.metInS ?? null;
  return {
    ...bag.spec,
    cutName: bag.cutName,
    assumed: bag.assumed,
    inAtMs: bag.inAtMs,
    outAtMs: bag.outAtMs,
    lies: bag.lies,
    coreC,
    coldC,
    hotC,
    measured: bag.measured && {
      celsius: bag.measured.celsius,
      credited: bag.measured.fromProbe,
      flags: [...bag.measured.flags],
    },
    hand: bag.hand && handView(bag.hand),
    creditAnewAtMs: bag.anewAtMs,
    probeHold: holdsAlone(bag.wired, bag.measured)
      ? { celsius: bag.wired.celsius, atMs: bag.wired.atMs }
      : null,
    chill: bag.chill && chillView(bag, bag.chill, state.clockS, state.wallMs),
    coldSpot: spot && { by: spot.by, how: spot.how },
    lethality: worst.lethality.map((one, index) =>
      lethalityView(
        one,
        wall,
        index === 0 && dueInS !== null ? wall(outlook.madeAtS - bag.inAtS + dueInS) : null,
        index === 0 ? (outlook.ahead?.heldBy ?? null) : null,
      ),
    ),
    comeUp: { seconds: comeUpS, limitS: comeUpLimitS, doneAtMs: wall(comeUpDoneAtS) },
    growthLog10: worst.growth.log10,
    verdicts: trackVerdicts(track, atS).map((verdict) => ({ ...verdict, cautions: [...verdict.cautions] })),
    tender: outlook.tender,
    moisturePercent: moisture && {
      low: moisture.lowPercent,
      middle: moisture.middlePercent,
      high: moisture.highPercent,
    },
  };
}

const handView = (hand: HandReading): BagView['hand'] => ({
  atMs: hand.atMs,
  celsius: hand.celsius,
  by: hand.by,
  effect: hand.effect,
  holdsLower: holdsLower(hand),
  flags: [...hand.flags],
});

type Worst = ReturnType<typeof trackResult>['worst']['lethality'][number];

function lethalityView(
  one: Worst,
  wall: (seconds: number | null) => number | null,
  dueAtMs: number | null,
  heldBy: HeldBy | null,
): LethalityView {
  const { standardId, standard, organism, source, targetLog10, log10, metAtS, dwell } = one;
  const metAtMs = wall(dwell ? dwell.metAtS : metAtS);
  return {
    standardId,
    standard,
    organism,
    source,
    targetLog10,
    log10,
    equivalentMetAtMs: wall(metAtS),
    dwell: dwell && { row: dwell.row, heldS: dwell.heldS, needS: dwell.needS, metByRow: dwell.metByRow },
    metAtMs,
    dueAtMs: metAtMs === null ? dueAtMs : null,
    dueHeldBy: metAtMs === null ? heldBy : null,
  };
}

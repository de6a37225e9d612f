import { holdsAlone } from '../shared/hazard/core-hold.ts';
import { type Outlook, outlookOf } from './tick/estimate/view.ts';
import type { BagTrack, TickState } from './tick/state.ts';

/** An outlook is looked at anew this often, in seconds of the cook. */
const FRESH_S = 60;

/** Looks ahead for each bag once a minute, and at once when what the forecast rests on has changed. */
export function rememberOutlook(): (state: TickState, bag: BagTrack) => Outlook {
  const known = new Map<string, { key: string; outlook: Outlook }>();
  return (state, bag) => {
    const { spec, lies, forkTests, outAtMs, hand, wired, anewAtMs } = bag;
    const key = JSON.stringify([
      spec,
      lies,
      forkTests.length,
      outAtMs,
      hand?.atMs,
      wired !== null,
      holdsAlone(wired, bag.measured),
      anewAtMs,
      state.cook?.cookId,
      state.cook?.setpointC,
      state.heat.stoppedBy,
      state.trip?.alarmId,
    ]);
    const found = known.get(spec.bagId);
    if (found?.key === key && Math.abs(state.clockS - found.outlook.madeAtS) < FRESH_S) return found.outlook;
    const outlook = outlookOf(state, bag);
    known.set(spec.bagId, { key, outlook });
    return outlook;
  };
}

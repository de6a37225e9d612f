import { cutById } from '../../../shared/food/cuts.ts';
import { bridgeTrack, worseTrack } from '../../../shared/hazard/track-bridge.ts';
import { trackCore } from '../../../shared/hazard/track-view.ts';
import { stands } from '../alarm/machine.ts';
import { ALARMS } from '../alarm/table.ts';
import { type BagEstimate, startEstimate } from '../estimate/bag.ts';
import type { BagTrack, TickState } from '../state.ts';
import { blindBands, stepsOf } from './bands.ts';
import { filmsOf } from './measure.ts';

/**
 * The state of a log whose last rows the chain does not vouch for. What people entered, trips, alarms and the rig stand as
 * the rows tell them: its limits go by them. The food is another matter: no lethality is credited after the last
 * second that is vouched for, growth is held at the worst of all that the water may have been, and what the rows say
 * against a bag stands too.
 * @param sound the state after the last tick that is vouched for; null where none is
 * @param full the state after the last row
 * @param lastSequence the last tick on record, read or not
 */
export function creditOnlyVouched(sound: TickState | null, full: TickState, lastSequence: number): TickState {
  const ticks = lastSequence - (sound?.sequence ?? 0);
  const known = new Map(sound?.bags.map((bag) => [bag.spec.bagId, bag]));
  const bags = full.bags.map((bag) => {
    const before = known.get(bag.spec.bagId);
    const same = before !== undefined && JSON.stringify(before.spec) === JSON.stringify(bag.spec);
    return throughUnvouched(sound, full, bag, same ? before : null, ticks);
  });
  return { ...full, bags };
}

/** By whom heat is stopped where it waits for a person because of it; a full stop follows. */
const NOT_VOUCHED =
  'the controller, for what asks for heat stands in a part of the record that was changed. Look at the bath, then allow heat again';

/**
 * Heat by such a log: it goes on only where the last second that is vouched for asked for it too, of the same cook and at
 * no lower setpoint; else it stays off until a person allows it. A trip that only such rows cleared stands.
 */
export function heatOnlyVouched(sound: TickState | null, full: TickState): TickState {
  const asked =
    sound?.cook?.cookId === full.cook?.cookId &&
    sound?.cook?.endedAtMs === null &&
    sound.heat.stoppedBy === null &&
    sound.cook.setpointC >= (full.cook?.setpointC ?? 0);
  const waits = full.cook?.endedAtMs === null && !asked;
  const stoppedBy = full.heat.stoppedBy ?? (waits ? NOT_VOUCHED : null);
  const before = new Map(sound?.alarms.map((record) => [record.alarmId, record]));
  const alarms = full.alarms.map((record) => {
    const was = before.get(record.alarmId);
    return was && ALARMS[record.alarmId].trips && stands(was) && !stands(record) ? was : record;
  });
  return { ...full, alarms, trip: full.trip ?? sound?.trip ?? null, heat: { ...full.heat, stoppedBy } };
}

function throughUnvouched(
  sound: TickState | null,
  full: TickState,
  bag: BagTrack,
  before: BagTrack | null,
  ticks: number,
): BagTrack {
  if (before && before.outAtMs !== null) return bag;
  const begin = before?.estimate ?? startAgain(full, bag);
  const fromS = before?.carriedS ?? bag.inAtS;
  const untilS = bag.outAtS ?? full.clockS;
  // The rows' own clock may be what was changed: seconds are counted by the ticks too, of which there is one each.
  const seconds = Math.max(0, untilS - fromS, bag.outAtS === null && before ? ticks : 0);
  const bands = blindBands(...endsOf(sound, full), seconds);
  const steps = stepsOf(bands, seconds);
  const unseen = { steps, leastS: 0, middleS: 0, countsS: seconds, fromS: fromS - bag.inAtS };
  const bridged = bridgeTrack(begin.track, { ...unseen, ...filmsOf(bag.lies, full.lastGood?.celsius ?? 50) });
  // The envelope goes about both; the middle case, which only plans go by, stays that of the last sound second.
  const track = worseTrack(bridged, bag.estimate.track);
  const estimate = { ...bag.estimate, track, core: trackCore(track) };
  return { ...bag, estimate, metAtMs: before?.metAtMs ?? null, carriedS: untilS, carriedC: null };
}

/** The water at both ends, and the coldest and warmest that it may have been between them, degC. */
function endsOf(sound: TickState | null, full: TickState): [number, number, number, number] {
  const roomC = Math.min(sound?.watch.roomC ?? full.watch.roomC, full.watch.roomC);
  const beforeC = sound?.lastGood?.celsius ?? roomC;
  const afterC = full.lastGood?.celsius ?? beforeC;
  const warmC = Math.max(sound?.cook?.setpointC ?? beforeC, full.cook?.setpointC ?? beforeC, beforeC);
  return [beforeC, afterC, roomC, warmC];
}

/** A bag that no sound second knows as it is: nothing is known of it but what it was when it went in. */
function startAgain(full: TickState, bag: BagTrack): BagEstimate {
  const cut = cutById(bag.spec.cutId);
  return cut ? startEstimate(bag.spec, cut, full.settings.around) : bag.estimate;
}

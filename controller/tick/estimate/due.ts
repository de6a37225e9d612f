import { holdsAlone } from '../../../shared/hazard/core-hold.ts';
import { NO_WATCH } from '../../../shared/hazard/core-watch.ts';
import { durationText } from '../../../shared/units/duration.ts';
import { waterAhead } from '../control/identify/water-ahead.ts';
import type { BagTrack, TickState } from '../state.ts';
import { type Ahead, type HeldAhead, lookAhead } from './ahead.ts';
import { holdsLower } from './hand.ts';

/** Looks ahead for a bag in the bath as it will be with heat; null where nothing is known of the water. */
export function aheadOf(
  state: Pick<TickState, 'clockS' | 'settings' | 'cook' | 'lastGood' | 'rig' | 'watch'>,
  bag: BagTrack,
): Ahead | null {
  const { clockS, settings, cook, lastGood } = state;
  const nowC = lastGood?.celsius ?? cook?.setpointC ?? null;
  const setpointC = cook && cook.endedAtMs === null ? cook.setpointC : nowC;
  if (nowC === null || setpointC === null) return null;
  const { circulation } = settings.around;
  const waterC = waterAhead(state.rig, nowC, setpointC, state.watch.roomC);
  return lookAhead(bag.estimate, waterC, circulation, bag.lies, clockS - bag.inAtS, heldAhead(bag, clockS));
}

/** A probe that is heard will be heard on: its lag is kept, not its last reading. One that is not heard has said its last. */
function heldAhead({ hand, wired, measured }: BagTrack, clockS: number): HeldAhead {
  const alone: boolean = holdsAlone(wired, measured);
  return {
    watch: { ...NO_WATCH, hold: wired === null || alone ? wired : { ...wired, capC: null } },
    byHand: hand !== null && holdsLower(hand) ? { ...hand, floorC: null } : null,
    clockS,
  };
}

/** When the standard of a bag is forecast to be met by what readings showed, as words for the record and the seconds from now. */
export function dueByReading(
  state: Parameters<typeof aheadOf>[0],
  bag: BagTrack,
): { readonly words: string; readonly dueInS: number | null } {
  const dueInS = aheadOf(state, bag)?.metInS ?? null;
  const words =
    dueInS === null
      ? 'By what was read, no time is forecast for its standard: it is not met within a day.'
      : `By what was read, its standard is forecast to be met in ${durationText(dueInS)} if the bath keeps its setpoint.`;
  return { words, dueInS };
}

import { durationText } from '../../../shared/units/duration.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import { isChilling, readingDue } from '../estimate/chill.ts';
import type { BagTrack } from '../state.ts';
import type { Context } from './context.ts';

/** Told so long before a rule's time is over, s: long enough to go there, read and put more ice in. */
const WARN_S = 900;

/** A bag that is chilled needs a core reading by a rule's time: told before it is over, while it can still be taken. */
export function checkCoolingReading({ state }: Context): Finding {
  const due = state.bags.flatMap((bag) => dueWords(bag, state.clockS));
  if (due.length === 0) return quiet('cooling-reading-due');
  return { alarmId: 'cooling-reading-due', active: true, heatOff: false, detail: due.join(' ') };
}

function dueWords(bag: BagTrack, clockS: number): string[] {
  const due = isChilling(bag) ? readingDue(bag, clockS) : null;
  if (due === null || due.leftS > WARN_S) return [];
  const asked = `${bag.spec.label}: expected a core of ${due.celsius.toFixed(1)} °C or colder, read and entered (${due.rule}); saw none.`;
  const when =
    due.leftS > 0
      ? `${durationText(due.leftS)} left.`
      : `Over by ${durationText(-due.leftS)}: only a reading that was taken in time can still be entered.`;
  return [`${asked} ${when}`];
}

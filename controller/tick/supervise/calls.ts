import { type Finding, quiet } from '../alarm/step.ts';
import { ALARMS } from '../alarm/table.ts';
import type { TickState } from '../state.ts';
import { tell, type Work } from '../work.ts';
import type { Context } from './context.ts';

/** What the tick knows of the ways by which people are called. */
export interface CallState {
  readonly failing: readonly { readonly channel: string; readonly why: string }[];
  /** Ways to people that are configured, and how many of them fail. */
  readonly ways: number;
  readonly waysFailing: number;
}

export const NO_CALLS: CallState = { failing: [], ways: 0, waysFailing: 0 };
const MOST_NAMED = 3;

/** Takes in what the ways of calling report, and keeps each delivery for the record. */
export function takeCalls(work: Work): void {
  const { calls, restart } = work.input;
  // A restart in demo time calls nobody, and knows nothing of the ways that failed before.
  if (restart && calls === undefined) work.next.calls = NO_CALLS;
  if (calls === undefined) return;
  if (calls.state !== null) work.next.calls = calls.state;
  for (const row of calls.deliveries) {
    const whom = row.person === null ? '' : ` to ${row.person}`;
    const titles = row.alarmIds.map((alarmId) => ALARMS[alarmId].title);
    const what = titles.length === 0 ? row.about : `${row.about} (${titles.join(', ')})`;
    const detail = row.detail === '' ? '' : `: ${row.detail}`;
    tell(work, 'delivery', `Call${whom} by ${row.channel}, ${what}: ${row.outcome}${detail}.`, { row });
  }
}

/** A way of calling that fails is an alarm in itself: it is noticed before it is needed. */
export function checkChannels({ state }: Context): Finding {
  const { failing } = state.calls;
  if (failing.length === 0) return quiet('channel-failing');
  const named = failing.slice(0, MOST_NAMED).map(({ channel, why }) => `${channel}: ${why}`);
  const more = failing.length > MOST_NAMED ? ` and ${failing.length - MOST_NAMED} more` : '';
  return {
    alarmId: 'channel-failing',
    active: true,
    heatOff: false,
    detail: `Saw ${named.join('; ')}${more}; expected an answer from each.`,
  };
}

/** Where people are to be called and none of their ways works, only the page and the sounder are left. */
export function checkReachable({ state }: Context): Finding {
  if (!nobodyReachable(state)) return quiet('nobody-reachable');
  const { ways } = state.calls;
  return {
    alarmId: 'nobody-reachable',
    active: true,
    heatOff: false,
    detail: `Saw ${ways} of ${ways} ways to people failing; expected one that works.`,
  };
}

/** True where ways to people are configured and every one of them fails. */
export function nobodyReachable({ calls }: TickState): boolean {
  return calls.ways > 0 && calls.waysFailing >= calls.ways;
}

import { ALARMS } from '../alarm/table.ts';
import type { TickState } from '../state.ts';
import { tell, type Work } from '../work.ts';

/** What the tick knows of the ways by which people are called. */
export interface CallState {
  readonly failing: readonly { readonly channel: string; readonly why: string }[];
  /** Ways to people that are configured, and how many of them fail. */
  readonly ways: number;
  readonly waysFailing: number;
}

export const NO_CALLS: CallState = { failing: [], ways: 0, waysFailing: 0 };

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

/** True where ways to people are configured and every one of them fails. */
export function nobodyReachable({ calls }: TickState): boolean {
  return calls.ways > 0 && calls.waysFailing >= calls.ways;
}

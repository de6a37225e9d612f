import type { Shown } from './engine.ts';
import type { Committed } from './journal/journal.ts';
import type { rememberOutlook } from './outlook.ts';
import type { TickState } from './tick/state.ts';
import { statusOf } from './tick/status.ts';

/** What a commit brings for the page, with the newest state it holds; takes the states that are on disk out of `states`. */
export function newsOf(
  committed: Committed,
  states: Map<number, TickState>,
  outlook: ReturnType<typeof rememberOutlook>,
): Shown | null {
  const { throughSequence, records } = committed;
  const newest = [...states.keys()].filter((at) => at <= throughSequence).pop();
  const after = newest === undefined ? undefined : states.get(newest);
  for (const at of states.keys()) if (at <= throughSequence) states.delete(at);
  if (!after) return null;
  return {
    samples: records.map((record) => record.sample),
    events: records.flatMap((record) => record.events),
    alarms: records.flatMap((record) => record.alarms),
    status: statusOf(after, outlook),
    throughSequence,
  };
}

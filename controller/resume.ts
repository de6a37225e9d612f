import type { Resume } from './journal/reader.ts';
import type { TickSettings } from './tick/settings.ts';
import { STATE_VERSION, startState, type TickState } from './tick/state.ts';
import { tick } from './tick/tick.ts';

/** The state at the end of the log, and whether a cook goes on. */
export interface Resumed {
  readonly state: TickState;
  readonly cookRunning: boolean;
  /** What people should know of how it was made; empty when all was plain. */
  readonly notes: readonly string[];
}

/**
 * Rebuilds the tick's state from the log: the last snapshot, and every input after it run through the tick again.
 * A snapshot of another form of state is left aside.
 */
export function resumeState(found: Resume, settings: TickSettings): Resumed {
  const notes: string[] = [];
  let state = snapshotState(found, notes) ?? startState(settings);
  for (const input of found.inputs) state = tick(state, input).state;
  if (found.missing > 0) notes.push(`${found.missing} seconds are missing from the log.`);
  return {
    // The rig may have been changed meanwhile: from here on its present settings hold.
    state: { ...state, settings },
    cookRunning: state.cook !== null && state.cook.endedAtMs === null,
    notes,
  };
}

function snapshotState(found: Resume, notes: string[]): TickState | null {
  if (!found.snapshot) return null;
  const state = JSON.parse(found.snapshot.stateJson) as TickState;
  if (state.version === STATE_VERSION) return state;
  notes.push(
    `The last snapshot is of another version (${state.version}, this is ${STATE_VERSION}); only what came after it is resumed.`,
  );
  return null;
}

import type { TickInput } from '../shared/wire/tick.ts';
import type { Resume } from './journal/reader.ts';
import type { RigRecord } from './tick/control/identify/record.ts';
import { creditOnlyVouched, heatOnlyVouched } from './tick/outage/unvouched.ts';
import type { TickSettings } from './tick/settings.ts';
import { STATE_VERSION, startState, type TickState, withSettings } from './tick/state.ts';
import { tick } from './tick/tick.ts';

/** The state at the end of the log. */
export interface Resumed {
  readonly state: TickState;
  /** It did not come from the log alone and must be kept in it, so that a replay begins with the same. */
  readonly keep: boolean;
  /** What people should know of how it was made; empty when all was plain. */
  readonly notes: readonly string[];
  /** Set where rows were gone on from that the chain does not vouch for: the last second before them. */
  readonly unvouched: { readonly after: number; readonly sound: TickState | null } | null;
}

/**
 * Rebuilds the tick's state from the log: the last snapshot, and every input after it run through the tick again.
 * A snapshot of another form of state, as after an update, is left aside: then the running cook is run through from
 * its own first second, so that no bag and no broken limit is forgotten. A log that knows nothing of the rig begins with
 * the rig on record. From the tick after `soundThrough` on the chain vouches for no row: food is credited with nothing there,
 * and heat goes on only where the last vouched second asked for it.
 */
export async function resumeState(
  found: Resume,
  settings: TickSettings,
  inputsOf: (cookId: string) => AsyncIterable<TickInput>,
  record: RigRecord | null = null,
  soundThrough = Number.POSITIVE_INFINITY,
): Promise<Resumed> {
  const notes: string[] = [];
  const fresh = found.lastSequence === 0;
  let state = found.snapshot
    ? snapshotState(found.snapshot.stateJson)
    : startState(settings, fresh ? record : null);
  // A log keeps one state a tick: where the last tick has one of another form, none of this form can be kept.
  let keep = state === null ? found.snapshot?.sequence !== found.lastSequence : fresh && record !== null;
  const vouched: { last: TickState | null } = { last: null };
  const run = (before: TickState, input: TickInput): TickState => {
    if (input.sequence > soundThrough) vouched.last ??= before;
    return tick(before, input).state;
  };
  if (state === null) {
    notes.push(
      'The last snapshot is of another version: the running cook is worked out anew from its first second.',
    );
    state = startState(settings, keep ? record : null);
    if (found.runningCook) {
      for await (const input of inputsOf(found.runningCook.cookId)) state = run(state, input);
    }
  } else {
    for (const input of found.inputs) state = run(state, input);
  }
  if (found.missing > 0) notes.push(`${found.missing} seconds are missing from the log.`);
  let unvouched: Resumed['unvouched'] = null;
  if (soundThrough < found.lastSequence) {
    // Where no tick at all is vouched for, no state that was kept is either.
    const sound = soundThrough <= 0 ? null : (vouched.last ?? state);
    unvouched = { after: Math.max(0, soundThrough), sound };
    state = heatOnlyVouched(sound, creditOnlyVouched(sound, state, found.lastSequence));
    keep = true;
  }
  // The rig may have been changed meanwhile: from here on its present settings hold.
  return { state: withSettings(state, settings), keep, notes, unvouched };
}

/** True where a whole state is of the form that this version reads. */
export function isThisForm(stateJson: string): boolean {
  return snapshotState(stateJson) !== null;
}

function snapshotState(stateJson: string): TickState | null {
  const state = JSON.parse(stateJson) as Partial<TickState> | null;
  return state?.version === STATE_VERSION ? (state as TickState) : null;
}

import type { Priority } from '../../shared/wire/alarm.ts';
import type { DeliveryRow } from '../../shared/wire/reach-view.ts';
import { callOut } from './calling.ts';
import { dueDuties, settleDuty } from './health.ts';
import { takeAlarms } from './incidents.ts';
import { launch, loseSilent, type Send, settleLetter } from './outbox.ts';
import { expireTests } from './reachable.ts';
import { type ReachState, ringingOf } from './state.ts';
import { heldByQuiet, highest, type Parts, type PlanInput, type Work } from './work.ts';

/** What is to be done now. */
export interface PlanOutput {
  readonly state: ReachState;
  readonly sends: readonly Send[];
  /** Attempts to break off, by letter. */
  readonly abandon: readonly number[];
  /** Duties to carry out. */
  readonly duties: readonly string[];
  /** What the sounder is to sound; null: nothing. */
  readonly sounder: Priority | null;
  readonly rows: readonly DeliveryRow[];
}

/**
 * Decides who is called now, by what, and what the sounder does. Pure: the same state and input give the same output;
 * the state is plain JSON and is handed in again with the next input.
 */
export function plan(state: ReachState, input: PlanInput, parts: Parts): PlanOutput {
  const work = begin(state, input, parts);
  for (const result of input.results) {
    if (result.of === 'duty') settleDuty(work, result.channelId, result.outcome);
    else settleLetter(work, result.letterId, result.attempt, result.outcome);
  }
  const abandon = loseSilent(work);
  takeAlarms(work);
  callOut(work);
  expireTests(work);
  const sends = launch(work);
  const duties = dueDuties(work);
  return { state: work.next, sends, abandon, duties, sounder: sounderLevel(work), rows: work.rows };
}

/** Opens a step on a state; `finish` it by taking `next` and `rows`. */
export function begin(state: ReachState, input: PlanInput, parts: Parts): Work {
  return {
    next: { ...state, clockMs: input.clockMs, wallMs: input.wallMs },
    input,
    parts,
    rows: [],
  };
}

/** The highest priority that nobody has seen and nobody has silenced. */
function sounderLevel(work: Work): Priority | null {
  const { silence, incidents } = work.next;
  if (silence && silence.untilClockMs <= work.input.clockMs) work.next.silence = null;
  const silent = work.next.silence?.ringings ?? [];
  const loud = incidents
    .flatMap(({ members }) => members)
    .filter((one) => !silent.includes(ringingOf(one)))
    .map(({ priority }) => priority);
  const heard = loud.filter((priority) => !heldByQuiet(work, work.parts.rules.quietHours, priority));
  return heard.length === 0 ? null : highest(heard);
}

/**
 * What to make of a state kept by a controller that has stopped since: nothing is under way, people may be others. Where
 * nobody knows for how long it was away (`awayKnown` false), nobody knows either whether a silence is over: it is.
 */
export function afterRestart(state: ReachState, parts: Parts, awayKnown: boolean): ReachState {
  const isKnown = (id: string) => parts.roster.channels.has(id) || parts.duties.has(id);
  return {
    ...state,
    letters: state.letters.map((letter) =>
      letter.sentClockMs === null ? letter : { ...letter, sentClockMs: null, dueClockMs: state.clockMs },
    ),
    incidents: state.incidents.map((incident) =>
      Object.keys(incident.used).length === 0 ? { ...incident, nextClockMs: state.clockMs } : incident,
    ),
    health: Object.fromEntries(Object.entries(state.health).filter(([id]) => isKnown(id))),
    silence: awayKnown ? state.silence : null,
  };
}

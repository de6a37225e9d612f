import type { ReachState } from './state.ts';

/**
 * What of the state is worth a write: all but clocks, times of checks and wording, which change by themselves every
 * second while an alarm stands and would wear out an SD card.
 */
export function essence(state: ReachState): string {
  const { incidents, letters, health, tests, answers, silence, nextRow } = state;
  return JSON.stringify([
    incidents.map(({ members, ...rest }) => [
      rest,
      members.map((one) => [one.alarmId, one.sinceMs, one.active]),
    ]),
    letters.map(({ message, ...rest }) => [rest, message.key]),
    Object.entries(health).map(([id, { failures, failing, at }]) => [id, failures, failing, at]),
    tests,
    answers,
    silence,
    nextRow,
  ]);
}

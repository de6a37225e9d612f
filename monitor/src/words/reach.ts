import type { ChannelView, DeliveryOutcome, DeliveryRow } from '../../../shared/wire/reach-view.ts';
import { whenText } from './clock.ts';

/** What became of a message; that a machine took it never says that a person saw it. */
export const OUTCOME_WORDS: Readonly<Record<DeliveryOutcome, string>> = {
  accepted: 'taken by the next machine',
  failed: 'FAILED',
  'gave-up': 'GIVEN UP',
  held: 'held back',
  dropped: 'dropped',
  answered: 'ANSWERED by a person',
  'working-again': 'works again',
  silenced: 'silenced',
};

const ABOUT_WORDS: Readonly<Record<DeliveryRow['about'], string>> = {
  alarm: 'alarm',
  over: 'that it is over',
  test: 'a test',
  reminder: 'a step of the plan',
  check: 'a check of the way',
  sounder: 'the sounder',
  page: 'on the page',
};

/** One line of the delivery log: to whom, by what, about what, and what became of it. */
export function rowText(
  { person, channel, about, alarmIds, attempt, outcome, detail }: DeliveryRow,
  titleOf: (alarmId: string) => string,
): string {
  const whom = person === null ? '' : `${person}, `;
  const which = alarmIds.length > 0 ? ` (${alarmIds.map(titleOf).join(', ')})` : '';
  const times = attempt > 1 ? `, attempt ${attempt}` : '';
  const more = detail === '' ? '' : `: ${detail}`;
  return `${whom}${channel}, ${ABOUT_WORDS[about]}${which}${times}: ${OUTCOME_WORDS[outcome]}${more}`;
}

/** Whether a way to a person works, as far as anybody can tell. */
export function channelText(
  { failing, lastAcceptedMs, lastAnsweredMs, testWaits }: ChannelView,
  nowMs: number,
): string {
  const answered =
    lastAnsweredMs === null
      ? 'No person has answered a test by it.'
      : `A person answered a test by it at ${whenText(lastAnsweredMs, nowMs)}.`;
  const waits = testWaits ? ' A test waits for its answer.' : '';
  if (failing)
    return `Nothing gets through since ${whenText(failing.sinceMs, nowMs)}: ${failing.why}. ${answered}${waits}`;
  const taken =
    lastAcceptedMs === null
      ? 'Nothing was sent by it yet.'
      : `It last took a message at ${whenText(lastAcceptedMs, nowMs)}.`;
  return `${taken} ${answered}${waits}`;
}

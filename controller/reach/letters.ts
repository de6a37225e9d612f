import type { MessageKind } from '../../shared/wire/reach-view.ts';
import type { Letter } from './state.ts';
import { comparePriority, note, personOf, type Work } from './work.ts';

/** Letters waiting at once; beyond this the least urgent is dropped. */
export const LETTERS_MOST = 128;

/** Hands in a letter, due at once. */
export function post(
  work: Work,
  draft: Pick<Letter, 'channelId' | 'incidentIds' | 'steps' | 'message'>,
): void {
  const { next, input } = work;
  next.letters = [
    ...next.letters,
    { ...draft, id: next.nextId, attempt: 0, dueClockMs: input.clockMs, sentClockMs: null, overWords: null },
  ];
  next.nextId += 1;
  if (next.letters.length > LETTERS_MOST) dropLeast(work);
}

function dropLeast(work: Work): void {
  const waiting = work.next.letters.filter((letter) => letter.sentClockMs === null);
  const least = waiting.sort(byUrgency).at(-1);
  if (least) dropLetter(work, least, 'dropped', `more than ${LETTERS_MOST} messages were waiting`);
}

const KIND_RANK: Readonly<Record<MessageKind, number>> = {
  reminder: 0,
  test: 1,
  over: 2,
  alarm: 3,
};

/** Alarms before what is over before tests before reminders; then by priority; then the oldest. */
export function byUrgency(a: Letter, b: Letter): number {
  const kind = KIND_RANK[b.message.kind] - KIND_RANK[a.message.kind];
  return kind || comparePriority(b.message.priority, a.message.priority) || a.id - b.id;
}

/** Puts a letter in place of the one with its id. */
export function replaceLetter(work: Work, letter: Letter): void {
  work.next.letters = work.next.letters.map((one) => (one.id === letter.id ? letter : one));
}

/** Takes a letter out without a word. */
export function removeLetter(work: Work, letter: Letter): void {
  work.next.letters = work.next.letters.filter((one) => one.id !== letter.id);
}

/** Takes a letter out and says why. */
export function dropLetter(work: Work, letter: Letter, outcome: 'dropped' | 'gave-up', detail: string): void {
  removeLetter(work, letter);
  noteLetter(work, letter, outcome, detail);
}

/** A line of the log about a letter. */
export function noteLetter(
  work: Work,
  letter: Letter,
  outcome: 'accepted' | 'failed' | 'gave-up' | 'dropped',
  detail: string,
): void {
  const channel = work.parts.roster.channels.get(letter.channelId);
  note(work, {
    about: letter.message.kind,
    alarmIds: letter.message.alarms.map((alarm) => alarm.alarmId),
    channelId: letter.channelId,
    channel: channel?.label ?? letter.channelId,
    attempt: letter.attempt,
    outcome,
    detail,
    person: channel ? personOf(channel) : letter.message.person,
  });
}

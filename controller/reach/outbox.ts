import type { Message, MessageKind } from '../../shared/wire/reach-view.ts';
import { noteAccepted, noteFailed } from './health.ts';
import { byUrgency, dropLetter, noteLetter, removeLetter, replaceLetter } from './letters.ts';
import { tellOver } from './over.ts';
import type { Channel } from './roster.ts';
import type { Letter } from './state.ts';
import type { Outcome, Work } from './work.ts';

/** Attempts under way at once, over all channels; one a channel. */
const SENDS_AT_ONCE = 32;
/** An attempt that has brought nothing by then is lost. The edges give up sooner by themselves. */
export const SEND_LOST_MS = 90_000;
const ATTEMPTS: Readonly<Record<MessageKind, number>> = { alarm: 8, over: 3, test: 3, reminder: 3 };
/** After so many failures others are called without waiting. */
const FAILS_OVER = 2;
const FIRST_WAIT_MS = 5000;
const LONGEST_WAIT_MS = 300_000;

/** How long to wait after the n-th failed attempt: 5 s, 15 s, 45 s ... 5 min, or longer where the other end asks so. */
export function backoffMs(attempt: number, retryAfterMs: number | null): number {
  const own = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 3 ** (attempt - 1));
  return Math.min(LONGEST_WAIT_MS, Math.max(own, retryAfterMs ?? 0));
}

/** Takes in what came of an attempt. An answer that comes late still counts where it is good news. */
export function settleLetter(work: Work, letterId: number, attempt: number, outcome: Outcome): void {
  const letter = work.next.letters.find((one) => one.id === letterId);
  if (!letter) return;
  if (outcome.ok) accepted(work, letter, outcome.detail);
  else if (letter.attempt === attempt && letter.sentClockMs !== null) failed(work, letter, outcome);
}

function accepted(work: Work, letter: Letter, detail: string): void {
  removeLetter(work, letter);
  noteLetter(work, letter, 'accepted', detail);
  noteAccepted(work, letter.channelId);
  work.next.incidents = work.next.incidents.map((incident) =>
    letter.incidentIds.includes(incident.id) && !incident.told.includes(letter.channelId)
      ? { ...incident, told: [...incident.told, letter.channelId] }
      : incident,
  );
  if (letter.overWords !== null && work.parts.rules.tellWhenOver) {
    tellOver(work, letter.channelId, letter.message.priority, letter.overWords);
  }
}

function failed(work: Work, letter: Letter, outcome: Outcome & { ok: false }): void {
  noteFailed(work, letter.channelId, outcome);
  if (letter.overWords !== null) {
    dropLetter(work, letter, 'dropped', `${outcome.why}; and it is over`);
    return;
  }
  const last = outcome.permanent || letter.attempt >= ATTEMPTS[letter.message.kind];
  if (last) {
    dropLetter(work, letter, 'gave-up', outcome.why);
  } else {
    noteLetter(work, letter, 'failed', outcome.why);
    const dueClockMs = work.input.clockMs + backoffMs(letter.attempt, outcome.retryAfterMs);
    replaceLetter(work, { ...letter, sentClockMs: null, dueClockMs });
  }
  if (last || letter.attempt === FAILS_OVER) failOver(work, letter);
}

/** Whoever this letter was to call has not been: the next step is made now, once for each step. */
function failOver(work: Work, letter: Letter): void {
  const { clockMs } = work.input;
  work.next.incidents = work.next.incidents.map((incident) => {
    const isCurrent = incident.round === 0 && letter.steps[String(incident.id)] === incident.step;
    return isCurrent && letter.incidentIds.includes(incident.id)
      ? { ...incident, nextClockMs: clockMs }
      : incident;
  });
}

/** One attempt to make now. */
export interface Send {
  readonly letterId: number;
  readonly attempt: number;
  readonly channel: Channel;
  readonly message: Message;
}

/** Gives up attempts that brought nothing; gives their letters. */
export function loseSilent(work: Work): number[] {
  const lost = work.next.letters.filter(
    (letter) => letter.sentClockMs !== null && work.input.clockMs - letter.sentClockMs >= SEND_LOST_MS,
  );
  const why = `no answer within ${SEND_LOST_MS / 1000} s`;
  for (const letter of lost) {
    failed(work, letter, { ok: false, permanent: false, at: 'answer', why, retryAfterMs: null });
  }
  return lost.map((letter) => letter.id);
}

/** The attempts that begin now: the most urgent first, one a channel at a time. */
export function launch(work: Work): Send[] {
  const { next, input, parts } = work;
  const sends: Send[] = [];
  const busy = new Set(next.letters.filter((one) => one.sentClockMs !== null).map((one) => one.channelId));
  for (const letter of [...next.letters].sort(byUrgency)) {
    const channel = parts.roster.channels.get(letter.channelId);
    if (!channel) {
      dropLetter(work, letter, 'dropped', 'the channel is no longer in the configuration');
      continue;
    }
    if (letter.dueClockMs > input.clockMs || busy.has(channel.id) || busy.size >= SENDS_AT_ONCE) continue;
    busy.add(channel.id);
    const attempt = letter.attempt + 1;
    replaceLetter(work, { ...letter, attempt, sentClockMs: input.clockMs });
    sends.push({ letterId: letter.id, attempt, channel, message: letter.message });
  }
  return sends;
}

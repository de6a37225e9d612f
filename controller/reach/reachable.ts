import { createHash } from 'node:crypto';
import { post } from './letters.ts';
import type { Channel } from './roster.ts';
import type { Answer, ReachState, WaitingTest } from './state.ts';
import { testMessage } from './words.ts';
import { note, personOf, type Work } from './work.ts';

/** A test must be answered within this. */
export const ANSWER_WITHIN_MS = 24 * 3600_000;
/** A channel is not tested again sooner: a test must not become a nuisance. */
export const TEST_PAUSE_MS = 60_000;

/** Letters and digits that nobody takes for another: those of Crockford's base 32. */
const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** A code of 40 bits from five random bytes, in two groups for reading aloud. */
export function codeFrom(bytes: Uint8Array): string {
  let value = 0n;
  for (const byte of bytes.slice(0, 5)) value = (value << 8n) | BigInt(byte);
  const chars = Array.from({ length: 8 }, (_, i) => ALPHABET[Number((value >> BigInt(35 - 5 * i)) & 31n)]);
  return `${chars.slice(0, 4).join('')}-${chars.slice(4).join('')}`;
}

/** What is kept of a code. Case, spaces and dashes do not count; O counts as 0, I and L as 1. */
export function codeHash(code: string): string {
  const plain = code.toUpperCase().replace(/[\s-]/g, '').replace(/O/g, '0').replace(/[IL]/g, '1');
  return createHash('sha256').update(plain).digest('hex');
}

/** Whether a channel may be tested now. */
export function mayTest(state: ReachState, channelId: string, clockMs: number): boolean {
  return !state.tests.some(
    (test) => test.channelId === channelId && clockMs - test.sentClockMs < TEST_PAUSE_MS,
  );
}

/** Sends a test by one channel; an earlier one that waits there is void. */
export function startTest(work: Work, channel: Channel, code: string): void {
  const test: WaitingTest = {
    personId: channel.personId,
    channelId: channel.id,
    codeHash: codeHash(code),
    sentClockMs: work.input.clockMs,
  };
  work.next.tests = [...work.next.tests.filter((one) => one.channelId !== channel.id), test];
  const message = testMessage(work.input, work.parts.rules, channel, code);
  post(work, { channelId: channel.id, incidentIds: [], steps: {}, message });
}

/** Takes an answer; gives what it proves, or null where no test waits for that code. A code works once. */
export function takeAnswer(work: Work, code: string): Answer | null {
  expireTests(work);
  const hash = codeHash(code);
  const test = work.next.tests.find((one) => one.codeHash === hash);
  if (!test) return null;
  const { clockMs, wallMs } = work.input;
  const answer: Answer = { personId: test.personId, channelId: test.channelId, clockMs, wallMs };
  work.next.tests = work.next.tests.filter((one) => one !== test);
  work.next.answers = [...work.next.answers.filter((one) => one.channelId !== test.channelId), answer];
  const channel = work.parts.roster.channels.get(test.channelId);
  note(work, {
    about: 'test',
    channelId: test.channelId,
    channel: channel?.label ?? test.channelId,
    outcome: 'answered',
    detail: 'the code of the test was entered: messages by this channel reach somebody',
    ...(channel && { person: personOf(channel) }),
  });
  return answer;
}

/** Forgets tests whose time is over, and tests and proofs of channels that are no more. */
export function expireTests(work: Work): void {
  const { next, input, parts } = work;
  const waits = (test: WaitingTest) =>
    input.clockMs - test.sentClockMs < ANSWER_WITHIN_MS && parts.roster.channels.has(test.channelId);
  if (!next.tests.every(waits)) next.tests = next.tests.filter(waits);
  const isKnown = (answer: Answer) => parts.roster.channels.has(answer.channelId);
  if (!next.answers.every(isKnown)) next.answers = next.answers.filter(isKnown);
}

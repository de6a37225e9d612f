import type { Failing } from '../../shared/wire/reach-view.ts';
import type { Health, ReachState } from './state.ts';
import { note, type Outcome, type Parts, type Work } from './work.ts';

/** Failures one after another before a channel counts as failing; a flat refusal counts at once. */
const FAILURES_TO_FAIL = 2;
/** The first check comes soon after the start, so that a broken channel shows before the night. */
const FIRST_CHECK_MS = 10_000;

const FRESH: Health = {
  failures: 0,
  sinceWallMs: null,
  why: '',
  at: 'connect',
  failing: false,
  lastAcceptedWallMs: null,
  nextCheckClockMs: null,
};

/** What is known of a channel. */
export function healthOf(state: ReachState, channelId: string): Health {
  return state.health[channelId] ?? FRESH;
}

/** The name of a channel or of something looked after. */
export function labelOf(parts: Parts, channelId: string): string {
  return parts.roster.channels.get(channelId)?.label ?? parts.duties.get(channelId)?.label ?? channelId;
}

/** All channels that fail at present, longest first. */
export function failingOf(state: ReachState, parts: Parts): Failing[] {
  return Object.entries(state.health)
    .filter(([channelId, health]) => health.failing && isKnown(parts, channelId))
    .map(([channelId, health]) => ({
      channelId,
      channel: labelOf(parts, channelId),
      sinceMs: health.sinceWallMs ?? state.wallMs,
      why: health.why,
    }))
    .sort((a, b) => a.sinceMs - b.sinceMs);
}

const isKnown = (parts: Parts, channelId: string): boolean =>
  parts.roster.channels.has(channelId) || parts.duties.has(channelId);

function setHealth(work: Work, channelId: string, health: Health): void {
  work.next.health = { ...work.next.health, [channelId]: health };
}

/** The channel took something: it works. */
export function noteAccepted(work: Work, channelId: string): void {
  setHealth(work, channelId, {
    ...healthOf(work.next, channelId),
    failures: 0,
    sinceWallMs: null,
    why: '',
    failing: false,
    lastAcceptedWallMs: work.input.wallMs,
  });
}

/** The channel did not take something. Gives whether that made it fail which had worked until then. */
export function noteFailed(work: Work, channelId: string, outcome: Outcome & { ok: false }): boolean {
  const before = healthOf(work.next, channelId);
  const failures = before.failures + 1;
  const failing = before.failing || outcome.permanent || failures >= FAILURES_TO_FAIL;
  setHealth(work, channelId, {
    ...before,
    failures,
    failing,
    sinceWallMs: before.sinceWallMs ?? work.input.wallMs,
    why: outcome.why,
    // What only a message can find, a check must not clear.
    at: before.failures > 0 && before.at === 'answer' ? 'answer' : outcome.at,
  });
  return failing && !before.failing;
}

/** What a duty brought. Only changes are logged: a heartbeat a minute would push out everything else. */
export function settleDuty(work: Work, channelId: string, outcome: Outcome): void {
  const duty = work.parts.duties.get(channelId);
  if (!duty) return;
  const before = healthOf(work.next, channelId);
  if (outcome.ok) {
    if (before.failures > 0 && (duty.proves || before.at === 'connect')) {
      setHealth(work, channelId, { ...before, failures: 0, sinceWallMs: null, why: '', failing: false });
      if (before.failing) noteChange(work, channelId, 'working-again', outcome.detail);
    }
    if (duty.proves) noteAccepted(work, channelId);
    return;
  }
  // A check that fails after a message was refused tells nothing new of the message.
  const at = duty.proves ? outcome.at : 'connect';
  if (noteFailed(work, channelId, { ...outcome, at })) noteChange(work, channelId, 'failed', outcome.why);
  const health = healthOf(work.next, channelId);
  setHealth(work, channelId, { ...health, nextCheckClockMs: work.input.clockMs + duty.againMs });
}

function noteChange(
  work: Work,
  channelId: string,
  outcome: 'failed' | 'working-again',
  detail: string,
): void {
  const channel = work.parts.roster.channels.get(channelId);
  note(work, {
    about: 'check',
    channelId,
    channel: labelOf(work.parts, channelId),
    outcome,
    detail,
    ...(channel && { person: { id: channel.personId, name: channel.personName } }),
  });
}

/** The duties that fall due now; their next time is set. */
export function dueDuties(work: Work): string[] {
  const due: string[] = [];
  for (const [channelId, duty] of work.parts.duties) {
    const health = healthOf(work.next, channelId);
    const first = work.input.clockMs + (duty.proves ? 0 : FIRST_CHECK_MS);
    // A time beyond one interval comes from an interval that was longer before the restart.
    const at = Math.min(health.nextCheckClockMs ?? first, work.input.clockMs + duty.everyMs);
    const isDue = at <= work.input.clockMs;
    const nextCheckClockMs = isDue ? work.input.clockMs + duty.everyMs : at;
    if (nextCheckClockMs !== health.nextCheckClockMs)
      setHealth(work, channelId, { ...health, nextCheckClockMs });
    if (isDue) due.push(channelId);
  }
  return due;
}

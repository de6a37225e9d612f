import type { Priority } from '../../shared/wire/alarm.ts';
import type { DeliveryRow, Failing, ReachView } from '../../shared/wire/reach-view.ts';
import { HEARTBEAT } from './edges.ts';
import { healthOf, labelOf } from './health.ts';
import { isQuiet } from './quiet.ts';
import type { ReachState } from './state.ts';
import type { Parts } from './work.ts';

export interface ViewParts {
  readonly state: ReachState;
  readonly parts: Parts;
  readonly failing: readonly Failing[];
  readonly log: readonly DeliveryRow[];
  readonly wallMs: number;
  readonly wallTrusted: boolean;
  readonly clockMs: number;
  readonly sounder: { readonly present: boolean; readonly level: Priority | null };
}

/** Lines of the log that the page gets. */
const LOG_SHOWN = 100;

/** Who can be reached, how, and what was delivered: for the page. Holds no secret and no whole address. */
export function viewOf(view: ViewParts): ReachView {
  const { state, parts, failing, log, wallMs, wallTrusted, clockMs, sounder } = view;
  const failingBy = new Map(failing.map((one) => [one.channelId, one]));
  return {
    people: parts.roster.people.map((person) => ({
      personId: person.id,
      person: person.name,
      // As the calling has it: a clock that may be wrong makes nobody sleep.
      quietNow: wallTrusted && isQuiet(person.quietHours, parts.rules.zone, wallMs),
      channels: person.channels.map((channel) => ({
        channelId: channel.id,
        kind: channel.kind,
        channel: channel.label,
        failing: failingBy.get(channel.id) ?? null,
        lastAcceptedMs: healthOf(state, channel.id).lastAcceptedWallMs,
        lastAnsweredMs: state.answers.find((one) => one.channelId === channel.id)?.wallMs ?? null,
        testWaits: state.tests.some((one) => one.channelId === channel.id),
      })),
    })),
    failing: [...failing],
    sounder: {
      ...sounder,
      silencedUntilMs: state.silence === null ? null : wallMs + (state.silence.untilClockMs - clockMs),
    },
    heartbeat: parts.duties.has(HEARTBEAT)
      ? { channel: labelOf(parts, HEARTBEAT), lastAcceptedMs: healthOf(state, HEARTBEAT).lastAcceptedWallMs }
      : null,
    log: log.slice(-LOG_SHOWN),
  };
}

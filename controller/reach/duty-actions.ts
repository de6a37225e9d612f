import type { Status } from '../../shared/wire/status.ts';
import type { DutyAction } from './dispatch.ts';
import { type Edges, HEARTBEAT, TELEMETRY } from './edges.ts';

/** A status older than this is no sign of life. */
const FRESH_MS = 30_000;

/** What is done at intervals: trying each way, asking for the broker, and the sign of life. */
export function dutyActions(
  { channels, mqtt, beat }: Edges,
  kitchen: string,
  lately: () => { readonly status: Status; readonly ageMs: number } | null,
): ReadonlyMap<string, DutyAction> {
  const actions = new Map<string, DutyAction>();
  for (const [channelId, edge] of channels) actions.set(channelId, (signal) => edge.check(signal));
  if (mqtt) actions.set(TELEMETRY, (signal) => mqtt.check(signal));
  if (beat) actions.set(HEARTBEAT, (signal) => signOfLife(beat, kitchen, lately(), signal));
  return actions;
}

/** A sign of life only while ticks reach the disk: whoever waits for it must notice a loop that hangs. */
async function signOfLife(
  beat: NonNullable<Edges['beat']>,
  kitchen: string,
  last: { readonly status: Status; readonly ageMs: number } | null,
  signal: AbortSignal,
): ReturnType<DutyAction> {
  if (last === null || last.ageMs > FRESH_MS) {
    const why = 'no sign of life is sent, because no tick has reached the disk lately';
    return { ok: false, permanent: false, at: 'answer', why, retryAfterMs: null };
  }
  const { sequence, wallMs, alarms } = last.status;
  const unacknowledged = alarms.filter((one) => /unacknowledged/.test(one.state)).length;
  return beat({ kitchen, time: new Date(wallMs).toISOString(), sequence, unacknowledged }, signal);
}

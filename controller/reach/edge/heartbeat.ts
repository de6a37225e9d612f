import type { HeartbeatConfig } from '../../../shared/wire/reach.ts';
import { originOf } from '../../../shared/wire/reach-recorded.ts';
import type { Outcome } from '../work.ts';
import { type EdgeMeans, guarded } from './edge.ts';
import { httpPost, outcomeOf } from './http-post.ts';
import { urlOf } from './secrets.ts';

/** A sign of life: what it says is for people who look; that it comes at all is the point. */
export interface Beat {
  readonly kitchen: string;
  /** ISO 8601 in UTC. */
  readonly time: string;
  /** Number of the last tick on disk: a controller that hangs repeats it, and then sends none. */
  readonly sequence: number;
  /** Alarms that nobody has acknowledged. */
  readonly unacknowledged: number;
}

/** Posts one beat. @param signal ends it early */
export function sendBeat(
  config: HeartbeatConfig,
  means: EdgeMeans,
  beat: Beat,
  signal: AbortSignal,
): Promise<Outcome> {
  const who = originOf(config.url);
  return guarded(async () => {
    const url = await urlOf(config.url, means.secret);
    const end = await httpPost({
      url,
      headers: { 'content-type': 'application/json', 'user-agent': 'bathkeeper' },
      body: JSON.stringify(beat),
      timeoutMs: means.timeoutMs,
      ca: await means.ca(),
      signal,
      who,
    });
    return outcomeOf(end, who);
  });
}

import type { Failing } from '../../shared/wire/reach-view.ts';
import type { WaysReport } from './options.ts';

/** The plan of calls among what fails: while it fails, no way is of any use. */
export const PLAN = 'plan';

/** How the ways of calling stand, for the tick. `channels` are those that lead to people. */
export function waysReport(
  failing: readonly Failing[],
  channels: { readonly size: number; has(channelId: string): boolean },
): WaysReport {
  const isStuck = failing.some(({ channelId }) => channelId === PLAN);
  return {
    failing: failing.map(({ channel, why }) => ({ channel, why })),
    ways: channels.size,
    waysFailing: isStuck ? channels.size : failing.filter(({ channelId }) => channels.has(channelId)).length,
  };
}

/** The report where even asking for it fails: nobody can be called then, and that must ring. */
export const NO_REPORT: WaysReport = {
  failing: [{ channel: 'the calls', why: 'failed; see what the controller printed' }],
  ways: 1,
  waysFailing: 1,
};

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const MOST_NAMED = 3;

/** A way of calling that fails is an alarm in itself: it is noticed before it is needed. */
export function checkChannels({ state }: Context): Finding {
  const { failing } = state.calls;
  if (failing.length === 0) return quiet('channel-failing');
  const named = failing.slice(0, MOST_NAMED).map(({ channel, why }) => `${channel}: ${why}`);
  const more = failing.length > MOST_NAMED ? ` and ${failing.length - MOST_NAMED} more` : '';
  return {
    alarmId: 'channel-failing',
    active: true,
    heatOff: false,
    detail: `Saw ${named.join('; ')}${more}; expected an answer from each.`,
  };
}

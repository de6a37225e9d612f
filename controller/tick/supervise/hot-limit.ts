import { type Finding, quiet } from '../alarm/step.ts';
import { hotLimitC } from '../limits.ts';
import type { Context } from './context.ts';

/** While food is in, the water stays above the hot-holding limit. */
export function checkHotLimit({ sense, state }: Context): Finding {
  const { cook } = state;
  const celsius = sense.celsius ?? state.lastGood?.celsius ?? null;
  if (!cook || celsius === null || !state.bags.some((bag) => bag.outAtMs === null)) {
    return quiet('bath-below-hot-limit');
  }
  const limit = hotLimitC(cook.setpointC);
  if (celsius >= limit) return quiet('bath-below-hot-limit');
  return {
    alarmId: 'bath-below-hot-limit',
    active: true,
    heatOff: false,
    detail: `Saw ${celsius.toFixed(1)} °C; expected at least ${limit.toFixed(1)} °C while food is in (Food Code 3-501.16).`,
  };
}

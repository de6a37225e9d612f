import { byDesign, type Finding, quiet } from '../alarm/step.ts';
import { hotLimitC } from '../limits.ts';
import type { Context } from './context.ts';

/** While food is in, the water stays above the hot-holding limit. */
export function checkHotLimit({ sense, state }: Context): Finding {
  const { cook } = state;
  const celsius = sense.celsius ?? state.lastGood?.celsius ?? null;
  if (!cook || celsius === null) return quiet('bath-below-hot-limit');
  const limit = hotLimitC(cook.setpointC);
  if (celsius >= limit || cook.endedAtMs !== null) return quiet('bath-below-hot-limit');
  if (!state.bags.some((bag) => bag.outAtMs === null))
    return byDesign('bath-below-hot-limit', 'No food is in the bath.');
  return {
    alarmId: 'bath-below-hot-limit',
    active: true,
    heatOff: false,
    detail: `Saw ${celsius.toFixed(1)} °C; expected at least ${limit.toFixed(1)} °C while food is in (Food Code 3-501.16).`,
  };
}

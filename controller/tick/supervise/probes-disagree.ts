import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { APART_C } from './watch/pair.ts';

/** Apart by more than this, no layer of stirred water explains it, degC. */
const DISAGREE_C = 1;
/** The hotter of the two probes may be so far over the setpoint, degC. */
const MARGIN_C = 2;
const BEATS = 3;

/** Where two probes differ more than they used to, the hotter one is believed until somebody looks. */
export function checkProbesDisagree({ sense, state }: Context): Finding {
  const { pair, balance } = state.watch;
  const { offC } = pair;
  const long = Math.max(pair.lowBeats, pair.highBeats) >= BEATS;
  if (offC === null || !long || Math.abs(offC) < DISAGREE_C) return quiet('probes-disagree');
  const hotterC = (sense.celsius ?? 0) + Math.max(0, offC);
  const setpointC = state.cook?.setpointC ?? 0;
  const usual = pair.belief.mean[0]! + pair.belief.mean[1]! * (balance.now?.arriving ?? 0);
  return {
    alarmId: 'probes-disagree',
    active: true,
    heatOff: hotterC > setpointC + MARGIN_C,
    brief: true,
    detail: `Saw the second probe ${(offC + usual).toFixed(1)} °C from the bath probe; expected ${usual.toFixed(1)} °C within ${APART_C} °C.`,
  };
}

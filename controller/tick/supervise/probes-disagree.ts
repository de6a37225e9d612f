import { numberText } from '../../../shared/units/temperature.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { APART_BEATS, APART_C } from './watch/pair.ts';

/** Apart by more than this, no layer of stirred water explains it, degC. */
const DISAGREE_C = 1;
/** The hotter of the two probes may be so far over the setpoint, degC. */
const MARGIN_C = 2;

/** Not heard for so long the other probe is silent, s. */
const SILENT_S = 15;

/** Where two probes differ more than they used to, the hotter one is believed until somebody looks. */
export function checkProbesDisagree({ sense, state }: Context): Finding {
  const { pair, balance } = state.watch;
  const { offC } = pair;
  const long = Math.max(pair.lowBeats, pair.highBeats) >= APART_BEATS;
  if (offC === null || !long || Math.abs(offC) < DISAGREE_C) return quiet('probes-disagree');
  // A rig that is described with one probe has taken the other out.
  const silent = pair.silentS > SILENT_S;
  if (silent && !state.settings.equipment.secondProbe) return quiet('probes-disagree');
  const hotterC = (sense.celsius ?? 0) + Math.max(0, offC);
  const setpointC = state.cook?.setpointC ?? 0;
  const usual = pair.belief.mean[0]! + pair.belief.mean[1]! * (balance.now?.arriving ?? 0);
  return {
    alarmId: 'probes-disagree',
    active: true,
    // Where the hotter one has fallen silent nobody knows how much further the two have parted.
    heatOff: (silent && offC > 0) || hotterC > setpointC + MARGIN_C,
    brief: true,
    detail: `Saw the second probe ${numberText(offC + usual)} °C from the bath probe; expected ${numberText(usual)} °C within ${APART_C} °C.${silent ? ' It has been silent since: hang it back, or describe the rig without it (safety.secondProbe).' : ''}`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const LOST_SHARE = 0.15;
/** A sound probe's readings scatter by a fifth of this at most, degC: standard deviation from one second to the next. */
const SCATTER_C = 0.28;
/** Once told it stands until they scatter less than this share of it: what is measured of noise wanders by itself. */
const CALM_SHARE = 0.7;

/**
 * A probe that answers only now and then gives heat only now and then, and is about to fail. One whose readings scatter
 * hides what the water does, and is loose, wet or beside a cable that disturbs it.
 */
export function checkProbeFailing({ state }: Context): Finding {
  const { lostShare } = state.watch.reading;
  const scatterC = Math.sqrt(state.rig.noise.varianceC2);
  const stands = state.alarms.some(({ alarmId, active }) => alarmId === 'probe-failing' && active);
  if (lostShare < LOST_SHARE && scatterC < SCATTER_C * (stands ? CALM_SHARE : 1))
    return quiet('probe-failing');
  const detail =
    lostShare < LOST_SHARE
      ? `Saw the readings scatter by ${scatterC.toFixed(2)} °C from one second to the next; expected less than ${SCATTER_C} °C.`
      : `Saw ${Math.round(100 * lostShare)} % of the readings of the last minute fail; expected none.`;
  return { alarmId: 'probe-failing', active: true, heatOff: false, detail };
}

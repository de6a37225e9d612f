import { type Finding, quiet } from '../alarm/step.ts';
import { underwayC } from '../control/identify/underway.ts';
import type { Context } from './context.ts';

/** An unexplained fall below this is noise and load, degC. */
const TOLD_C = 0.8;
/** The water may be hotter than the reading by what the reading fell; so far over the setpoint it may then be, degC. */
const MARGIN_C = 2.5;
const LEAP_TOLD_S = 180;

/**
 * A reading that fell faster than any loss is either cold water or food, or a probe that no longer shows the water.
 * Until somebody says which, heat is given only as far as both would be safe.
 */
export function checkReadingStep({ sense, state }: Context): Finding {
  const { fall } = state.watch;
  const { cook, clockS } = state;
  const leapt = clockS - fall.leaptAtS < LEAP_TOLD_S;
  if (fall.fellC < TOLD_C && !leapt) return quiet('reading-step');
  if (fall.fellC < TOLD_C) {
    const most = 10 * (state.watch.balance.now?.fullCPerS ?? state.rig.describedRate);
    return {
      alarmId: 'reading-step',
      active: true,
      heatOff: false,
      detail: `Saw the reading rise by ${fall.leaptC.toFixed(1)} °C within 10 s; expected at most ${most.toFixed(2)} °C with full heat.`,
    };
  }
  const ceilingC = (cook?.setpointC ?? 0) + MARGIN_C - fall.fellC;
  // What is still on its way through element and plume comes on top, whatever is switched off now.
  const heatOff = fall.moving || sense.celsius === null || sense.celsius + underwayC(state.rig) > ceilingC;
  return {
    alarmId: 'reading-step',
    active: true,
    heatOff,
    brief: true,
    detail: `Saw the reading fall ${fall.fellC.toFixed(1)} °C faster than heat and loss explain, from ${fall.fromC.toFixed(1)} °C; expected at most ${TOLD_C} °C. Until somebody says what it was, heat is given only below ${ceilingC.toFixed(1)} °C.`,
  };
}

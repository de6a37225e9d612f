import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { mustHaveMovedC } from './watch/reading.ts';

/** A live probe moves by a digit now and then; no heat is given on a reading older than this in substance, s. */
const STILL_S = 50;
/** The model says that the water has moved by so much, degC: more than three digits of a 12-bit sensor. */
const SHOULD_MOVE_C = 0.2;
const NAMED_S = 60;

/**
 * A reading that does not move may be a dead value. Heat waits until it moves, which a sound bath does within minutes
 * by its own loss; once the water must have moved and the reading did not, the probe is named.
 */
export function checkProbeStuck({ sense, state }: Context): Finding {
  const { reading } = state.watch;
  if (sense.celsius === null || reading.sameS < STILL_S) return quiet('probe-stuck');
  const still = Math.round(reading.sameS);
  const wait = {
    ...quiet('probe-stuck'),
    heatOff: true,
    brief: true,
    reason: `Waiting for the reading to move: it has said ${sense.celsius} °C for ${still} s.`,
  };
  const mustC = mustHaveMovedC(reading);
  if (reading.sameS < NAMED_S || mustC < SHOULD_MOVE_C) return wait;
  return {
    alarmId: 'probe-stuck',
    active: true,
    heatOff: true,
    detail: `Saw ${sense.celsius} °C without a digit's change for ${still} s; expected it to move by ${mustC.toFixed(2)} °C at least, with the lid on or off and with heat or none.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

const WORDS = {
  good: 'its last reply is too old',
  absent: 'it does not answer',
  crc: 'its replies arrive damaged (checksum)',
  range: 'its value is not possible for water',
  'power-on': 'it only gives its power-on value, not a measurement',
  open: 'its circuit is open (a broken wire, or no probe)',
  shorted: 'its wires are shorted (crushed, or water between them)',
  saturated: 'its circuit is at the end of what it can show',
  offline: 'the rig does not answer',
} as const;

/** No heat without a fresh, valid reading; silent for longer than the limit, it is an alarm. */
export function checkProbe({ sense, state, input }: Context): Finding {
  if (sense.celsius !== null) return quiet('probe-invalid');
  const limitMs = state.settings.probeSilenceMs;
  const silent = sense.ageMs === null ? input.monotonicMs - state.firstMs >= limitMs : sense.ageMs >= limitMs;
  const age = sense.ageMs === null ? 'never since the start' : `${(sense.ageMs / 1000).toFixed(0)} s ago`;
  const detail = silent
    ? `Bath probe: ${WORDS[sense.quality]}. Last valid reading ${age}; expected one every second, at most ${limitMs / 1000} s apart.`
    : '';
  return { alarmId: 'probe-invalid', active: silent, heatOff: true, detail };
}

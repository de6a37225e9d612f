import type { Status } from '../../../shared/wire/status.ts';
import { localText, type TemperatureUnit, temperatureText } from './temperature.ts';

export interface HeatWords {
  /** How much. */
  readonly word: string;
  /** What for, or why not. */
  readonly why: string;
  /** The circuit, where it is not as it should be. */
  readonly circuit: string | null;
}

/**
 * The heat in words. The element is switched on and off many times a minute to give its share, so at any one
 * moment "off" means nothing: the share is what is told, and the circuit only where it contradicts.
 */
export function heatWords(now: Status, unit: TemperatureUnit): HeatWords {
  const { heat, bath, setpointC, bandC } = now;
  const percent = Math.round(heat.duty * 100);
  const regulating = !heat.stopped && (heat.granted || (heat.duty > 0 && bath.quality === 'good'));
  if (regulating) {
    const wanted = temperatureText(setpointC, unit);
    const below = bandC !== null && bath.celsius !== null && bath.celsius < bandC.lowC;
    // What is asked for; whether the water follows, the number and the alarms tell.
    const why = below ? `to reach ${wanted}` : `holding ${wanted}`;
    return { word: `Heating ${percent} %`, why, circuit: null };
  }
  return {
    word: heat.stopped ? 'Heat stopped' : 'Not heating',
    why: afterColon(localText(heat.reason, unit).replace(/^Stopped: /, 'by ')),
    circuit: heat.circuitClosed ? 'The element is still on.' : null,
  };
}

/** A sentence as the second half of one: `Holding the setpoint.` becomes `holding the setpoint`. */
function afterColon(sentence: string): string {
  const bare = sentence.trim().replace(/\.$/, '');
  return /^[A-Z][a-z]/.test(bare) ? bare[0]!.toLowerCase() + bare.slice(1) : bare;
}

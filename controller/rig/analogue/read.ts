import type {
  AnalogueProbe,
  NtcProbe,
  Pt100Probe,
  ThermocoupleProbe,
} from '../../../shared/wire/analogue.ts';
import { type Converted, good, noReading } from '../convert/converted.ts';
import { readNtc } from '../convert/ntc.ts';
import { pt100Celsius } from '../convert/pt100.ts';
import { tipCelsius } from '../convert/thermocouple.ts';
import {
  codesOf,
  curveOf,
  END_SHARE,
  letterOf,
  outputSpan,
  pinVolts,
  platinumOhms,
  sensorVolts,
} from './circuit.ts';

/** A code turned into a reading, and what one step of the converter is worth there. */
export interface AnalogueReading extends Converted {
  /** Kelvin a step at this code; null where there is no reading. */
  readonly stepK: number | null;
}

/** What a probe in a bath may show; the same as of a DS18B20. */
const RANGE_C = { low: -55, high: 125 } as const;
/** No water in a kitchen is outside this: what the end of a circuit's span means beyond it is a fault of the wires. */
const WATER_C = { low: -20, high: 110 } as const;

/**
 * A code, or the mean of some, into a reading of its probe. Never throws, whatever the code.
 * @param coldC temperature of a thermocouple's terminals; null where it is not known, and for all others
 */
export function readAnalogue(code: number, probe: AnalogueProbe, coldC: number | null): AnalogueReading {
  const reading = converted(code, probe, coldC);
  if (reading.celsius === null) return { ...reading, stepK: null };
  const [below, above] = [code - 0.5, code + 0.5].map((one) => converted(one, probe, coldC).celsius);
  const stepK = Math.abs((above ?? reading.celsius) - (below ?? reading.celsius));
  // At the end of the span one half of the step is missing.
  const whole = above == null || below == null ? 2 * stepK : stepK;
  return { ...reading, stepK: whole };
}

function converted(code: number, probe: AnalogueProbe, coldC: number | null): Converted {
  const codes = codesOf(probe);
  if (!(Number.isFinite(code) && code > -1 && code < codes)) {
    return noReading(
      'range',
      `code ${code} cannot come from ${probe.adcBits} bits: expected 0 to ${codes - 1}; see adcBits of ${probe.name}`,
    );
  }
  try {
    if (probe.kind === 'ntc') return thermistor(code, probe);
    return probe.kind === 'pt100' ? platinum(code, probe) : thermocouple(code, probe, coldC);
  } catch (error) {
    // A value off the curve: the converters throw, a reading never does.
    return noReading('range', (error as Error).message.slice(0, 280));
  }
}

function thermistor(code: number, probe: NtcProbe): Converted {
  const { seriesOhms, thermistorTo } = probe;
  const fullScale = codesOf(probe);
  const middle = Math.min(fullScale, Math.max(0, code + 0.5));
  return readNtc(middle, { curve: curveOf(probe), seriesOhms, thermistorTo, fullScale });
}

function within(celsius: number, probe: AnalogueProbe): Converted {
  if (celsius >= RANGE_C.low && celsius <= RANGE_C.high) return good(celsius);
  return noReading(
    'range',
    `${celsius.toFixed(1)} °C on ${probe.name} cannot be true of a bath: expected ${RANGE_C.low} to ${RANGE_C.high} °C; see wires and figures of its circuit`,
  );
}

/** Where the amplifier or converter is at its end: `low`, `high` or neither. */
function endOf(volts: number, probe: Pt100Probe | ThermocoupleProbe): 'low' | 'high' | null {
  const { low, high } = outputSpan(probe);
  const margin = END_SHARE * probe.referenceVolts;
  if (volts >= high - margin) return 'high';
  return volts <= low + margin ? 'low' : null;
}

function platinum(code: number, probe: Pt100Probe): Converted {
  const volts = pinVolts(probe, code);
  const end = endOf(volts, probe);
  const ohms = platinumOhms(probe, sensorVolts(probe, volts));
  const celsius = platinumCelsius(ohms, probe);
  if (end === 'high') {
    return celsius === null || celsius > WATER_C.high
      ? noReading('open', `${probe.name}: the platinum thermometer is open: a broken wire or no probe`)
      : atEnd(probe, `open, or hotter than ${celsius.toFixed(0)} °C`);
  }
  // A short reads as a few ohm, far below what ice gives.
  const short = noReading(
    'shorted',
    `${probe.name}: the platinum thermometer is shorted: crushed wire, or water in a plug`,
  );
  if (end === 'low' && celsius !== null && celsius > WATER_C.low) {
    return atEnd(probe, `shorted, or colder than ${celsius.toFixed(0)} °C`);
  }
  if (end === 'low' || ohms < SHORT_SHARE * probe.ohmsAt0) return short;
  if (celsius !== null) return within(celsius, probe);
  const open = noReading(
    'open',
    `${probe.name}: ${ohms.toFixed(0)} ohm is no thermometer: a broken wire or no probe`,
  );
  return ohms > probe.ohmsAt0 ? open : short;
}

/** Below this share of its resistance at 0 degrees C (-123 degrees C) a platinum thermometer is no thermometer. */
const SHORT_SHARE = 0.5;

function platinumCelsius(ohms: number, { ohmsAt0 }: Pt100Probe): number | null {
  try {
    return pt100Celsius(ohms, ohmsAt0);
  } catch {
    return null;
  }
}

const atEnd = ({ name }: AnalogueProbe, what: string): Converted =>
  noReading('saturated', `${name}: at the end of its circuit: ${what}`);

function thermocouple(code: number, probe: ThermocoupleProbe, coldC: number | null): Converted {
  const volts = pinVolts(probe, code);
  const end = endOf(volts, probe);
  const millivolts = sensorVolts(probe, volts) * 1000;
  if (end === null) {
    if (coldC === null) {
      return noReading(
        'absent',
        `${probe.name}: its cold junction has no fresh reading, so the tip has none`,
      );
    }
    return within(tipCelsius(letterOf(probe), millivolts, coldC), probe);
  }
  // An open thermocouple takes the amplifier to the end to which its input is drawn; which one, only the circuit knows.
  const endC = coldC === null ? null : tipOrNull(probe, millivolts, coldC);
  const beyond = endC === null || endC > WATER_C.high || endC < WATER_C.low;
  if (beyond) {
    const way = end === 'low' ? 'open, or its leads are reversed' : 'open';
    return noReading('open', `${probe.name}: the thermocouple is ${way}: a broken wire or no probe`);
  }
  const than = end === 'high' ? 'hotter' : 'colder';
  return atEnd(
    probe,
    `open, or ${than} than ${endC.toFixed(0)} °C${end === 'low' ? ', or shorted or reversed' : ''}`,
  );
}

function tipOrNull(probe: ThermocoupleProbe, millivolts: number, coldC: number): number | null {
  try {
    return tipCelsius(letterOf(probe), millivolts, coldC);
  } catch {
    return null;
  }
}

import type {
  AnalogueProbe,
  NtcProbe,
  Pt100Probe,
  ThermocoupleProbe,
} from '../../../shared/wire/analogue.ts';
import { curveOfBeta, curveThrough, type NtcCurve, ntcOhms } from '../convert/ntc.ts';
import { pt100Ohms } from '../convert/pt100.ts';
import { type ThermocoupleType, thermocoupleMillivolts } from '../convert/thermocouple.ts';

/*
 * The circuit of an analogue probe, in both directions: volts at the pin for a temperature, to judge a configuration by,
 * and volts at the sensor for a code. A code stands for the middle of its step: code = floor(volts / reference x 2^bits)
 * (ATmega328P data sheet, "ADC Conversion Result").
 */

/** Nearer to an end of its span than this share of the reference, a circuit is taken to be at its end: open or shorted. */
export const END_SHARE = 0.005;

/** Codes of the converter, 2^bits. */
export const codesOf = ({ adcBits }: AnalogueProbe): number => 2 ** adcBits;

/** Volts at the pin in the middle of a code's step; the code may be a mean, so not whole. */
export const pinVolts = (probe: AnalogueProbe, code: number): number =>
  ((code + 0.5) / codesOf(probe)) * probe.referenceVolts;

/** The curve of a thermistor, in whichever form it was given. @throws RangeError where it is no thermistor's */
export function curveOf({ curve }: NtcProbe): NtcCurve {
  if ('points' in curve) return curveThrough(curve.points);
  if ('betaK' in curve) return curveOfBeta({ celsius: 25, ohms: curve.ohmsAt25 }, curve.betaK);
  return curve;
}

/** `K` or `T`. */
export const letterOf = ({ kind }: ThermocoupleProbe): ThermocoupleType => (kind === 'typeK' ? 'K' : 'T');

/** What the amplifier can give, as far as the converter can show it, V. */
export function outputSpan(probe: Pt100Probe | ThermocoupleProbe): { low: number; high: number } {
  const { outputVolts, referenceVolts } = probe;
  return { low: outputVolts?.low ?? 0, high: Math.min(outputVolts?.high ?? referenceVolts, referenceVolts) };
}

/** Volts at the amplifier's input for volts at the pin. */
export const sensorVolts = ({ gain, offsetVolts }: Pt100Probe | ThermocoupleProbe, volts: number): number =>
  (volts - offsetVolts) / gain;

/** Ohms of a platinum thermometer for volts across it and its leads; infinite or negative where no resistor gives them. */
export function platinumOhms({ supplyVolts, seriesOhms, leadOhms }: Pt100Probe, volts: number): number {
  const share = volts / supplyVolts;
  return share >= 1 ? Number.POSITIVE_INFINITY : (seriesOhms * share) / (1 - share) - leadOhms;
}

/**
 * Volts at the pin for a temperature, as the circuit would give them without an end.
 * @param coldC the terminals of a thermocouple
 * @throws RangeError where the sensor is not defined there
 */
export function voltsAt(probe: AnalogueProbe, celsius: number, coldC: number): number {
  if (probe.kind === 'ntc') {
    const ohms = ntcOhms(curveOf(probe), celsius);
    const share = ohms / (ohms + probe.seriesOhms);
    return probe.referenceVolts * (probe.thermistorTo === 'ground' ? share : 1 - share);
  }
  const { gain, offsetVolts } = probe;
  if (probe.kind === 'pt100') {
    const ohms = pt100Ohms(celsius, probe.ohmsAt0) + probe.leadOhms;
    return (gain * probe.supplyVolts * ohms) / (ohms + probe.seriesOhms) + offsetVolts;
  }
  const type = letterOf(probe);
  const millivolts = thermocoupleMillivolts(type, celsius) - thermocoupleMillivolts(type, coldC);
  return (gain * millivolts) / 1000 + offsetVolts;
}

/** Most power that the circuit puts into the sensor, W: it warms itself by it. Zero of a thermocouple. */
export function sensorWatts(probe: AnalogueProbe): number {
  if (probe.kind === 'ntc') return probe.referenceVolts ** 2 / (4 * probe.seriesOhms);
  if (probe.kind !== 'pt100') return 0;
  const ohms = pt100Ohms(100, probe.ohmsAt0);
  const amperes = probe.supplyVolts / (probe.seriesOhms + probe.leadOhms + ohms);
  return Math.max(
    amperes ** 2 * ohms,
    (probe.supplyVolts / (probe.seriesOhms + probe.ohmsAt0)) ** 2 * probe.ohmsAt0,
  );
}

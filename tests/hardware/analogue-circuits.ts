import { probe } from './analogue-bench.ts';

/*
 * Circuits for the tests, and the same circuits forwards, worked out apart from the code under test: ohms or millivolts
 * of a published row to the code of an ideal converter, which gives floor(volts / reference x 2^bits) (ATmega328P data
 * sheet, "ADC Conversion Result").
 */

const clamp = (code: number, bits: number) => Math.min(2 ** bits - 1, Math.max(0, code));
const toCode = (volts: number, reference: number, bits: number) =>
  clamp(Math.floor((volts / reference) * 2 ** bits), bits);

/** 103AT-2 (R25 10 kohm) with 2.2 kohm to the supply, thermistor to ground; curve through three rows of its table. */
export const ntc = (name: string, more: object = {}) =>
  probe({
    name,
    kind: 'ntc',
    seriesOhms: 2200,
    thermistorTo: 'ground',
    curve: {
      points: [
        { celsius: 0, ohms: 27_280 },
        { celsius: 25, ohms: 10_000 },
        { celsius: 85, ohms: 1451 },
      ],
    },
    ...more,
  });
export const ntcCode = (ohms: number, bits = 10) =>
  clamp(Math.floor((ohms / (ohms + 2200)) * 2 ** bits), bits);

/** Pt100 below 2.2 kohm on 5 V, times 40, 8 V below: 0.7 V at 0 degrees C, 3.8 V at 100. */
export const PLATINUM = { supply: 5, series: 2200, gain: 40, offset: -8, reference: 5 };
export const pt100 = (name: string, more: object = {}) => {
  const { supply, series, gain, offset } = PLATINUM;
  const circuit = { supplyVolts: supply, seriesOhms: series, gain, offsetVolts: offset };
  return probe({ name, kind: 'pt100', ...circuit, ...more });
};
export function pt100Code(ohms: number, bits = 10): number {
  const { supply, series, gain, offset, reference } = PLATINUM;
  const across = ohms === Number.POSITIVE_INFINITY ? supply : (supply * ohms) / (ohms + series);
  return toCode(gain * across + offset, reference, bits);
}

/** Thermocouple times 150 on a reference of 1.1 V with 0.25 V below it, so that colder than the terminals is seen too. */
export const COUPLE = { gain: 150, offset: 0.25, reference: 1.1 };
export const couple = (name: string, kind: 'typeK' | 'typeT', coldJunction: object, more: object = {}) => {
  const { gain, offset, reference } = COUPLE;
  return probe({ name, kind, referenceVolts: reference, gain, offsetVolts: offset, coldJunction, ...more });
};
export function coupleCode(tipMv: number, terminalsMv: number, bits = 10): number {
  const { gain, offset, reference } = COUPLE;
  return toCode((gain * (tipMv - terminalsMv)) / 1000 + offset, reference, bits);
}

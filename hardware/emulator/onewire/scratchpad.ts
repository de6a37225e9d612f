import { crc8 } from './crc8.ts';

/** Family code of the DS18B20 (datasheet, "64-bit lasered ROM code"). */
export const FAMILY_DS18B20 = 0x28;

/** What the sensor keeps without power: alarm high and low (whole degC, signed byte) and configuration. */
export interface ProbeEeprom {
  alarmHigh: number;
  alarmLow: number;
  config: number;
}

/** As delivered: 75 and 70 degC, 12 bit (datasheet, memory map; the alarm values as in its examples). */
export const FACTORY_EEPROM: Readonly<ProbeEeprom> = { alarmHigh: 0x4b, alarmLow: 0x46, config: 0x7f };

/** Code of +85 degC, in the scratchpad from power-on to the first conversion (datasheet, table 1). */
export const POWER_ON_CODE = 0x0550;

/** Longest conversion time by resolution, us (datasheet, table 2). */
export const CONVERSION_US: Readonly<Record<number, number>> = {
  9: 93_750,
  10: 187_500,
  11: 375_000,
  12: 750_000,
};

/** Resolution in bits that a configuration byte stands for: bits 6 and 5 (datasheet, table 2). */
export const resolutionBits = (config: number): number => 9 + ((config >> 5) & 3);

/** Configuration byte as the sensor stores it: only bits 6 and 5 can be written, the rest reads 0rr11111. */
export const storedConfig = (config: number): number => (config & 0x60) | 0x1f;

/**
 * Temperature as the sensor's 16-bit code: two's complement of sixteenths of a degree, held to -55..125 degC.
 * At less than 12 bit the datasheet leaves the low bits undefined; here they stay, so that a reader must mask.
 */
export function temperatureCode(celsius: number): number {
  const held = Math.min(125, Math.max(-55, celsius));
  return Math.round(held * 16) & 0xffff;
}

/** The nine bytes of the scratchpad, check byte included (datasheet, memory map). */
export function scratchpadBytes(code: number, eeprom: Readonly<ProbeEeprom>): number[] {
  const bytes = [code & 0xff, code >> 8, eeprom.alarmHigh, eeprom.alarmLow, eeprom.config, 0xff, 0x0c, 0x10];
  return [...bytes, crc8(bytes)];
}

/** The eight bytes of a ROM code as sent on the wire: family, 48-bit serial number, check byte. */
export function romBytes(serial: number, family = FAMILY_DS18B20): number[] {
  if (!Number.isSafeInteger(serial) || serial < 0 || serial >= 2 ** 48) {
    throw new Error(`A ROM serial number is a whole number from 0 to 2^48 - 1, not ${serial}.`);
  }
  const bytes = [family];
  for (let index = 0; index < 6; index += 1) bytes.push(Math.floor(serial / 256 ** index) % 256);
  return [...bytes, crc8(bytes)];
}

/** ROM code as 16 hex digits, family first. */
export const romHex = (rom: readonly number[]): string => Buffer.from(rom).toString('hex').toUpperCase();
